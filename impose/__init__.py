"""From finished pages to everything needed to print, bind and trim a book.

What scripts use is in `impose.api` and is found here, too; it is imported when
it is first asked for, so that the program starts as quickly as without it.
`__init__.pyi` tells type checkers.
"""

__version__ = "0.1.0"

#: What `from impose import ...` gives; the tests hold it to `impose.api` and to the types.
__all__ = [
    "Box",
    "Finding",
    "ImposeError",
    "InputError",
    "Job",
    "JobError",
    "Length",
    "Made",
    "ManyProgress",
    "Outcome",
    "OutputError",
    "Part",
    "Plan",
    "Progress",
    "Result",
    "Severity",
    "Size",
    "Stage",
    "UnitError",
    "check",
    "check_sheets",
    "job_of_pages",
    "job_of_values",
    "make",
    "make_many",
    "plan_data",
    "read_job",
    "read_plan",
]


def __getattr__(name: str) -> object:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module  # for a dynamic import: the stages know nothing of it

    return getattr(import_module("impose.api"), name)
