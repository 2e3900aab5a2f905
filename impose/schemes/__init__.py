"""Ways of making a book: from leaves to sheets."""
