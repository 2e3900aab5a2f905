"""Any folder of PDFs and pictures made into books: made right, refused in words, or a defect."""
