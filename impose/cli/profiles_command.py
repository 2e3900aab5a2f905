"""`impose profiles`: what stocks, sheets, printers and machines are known; checking one's own."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import click

from impose.errors import ExitCode, ImposeError, JobError
from impose.findings import Finding
from impose.model.profilefolders import Kind, Origin
from impose.model.profiles import Library, check_profile

#: A kind is asked for in the plural or by the word for one of them.
_KINDS: Final = {name: kind for kind in Kind for name in (kind.value, kind.word)}
_FOLDER: Final = click.option(
    "--folder",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path(),
    help="The job's folder, whose profiles/ is looked into first.",
)


@click.group()
def profiles() -> None:
    """Show the stocks, sizes, printers and machines that are known, or check one of your own."""


@profiles.command("list")
@click.argument("kind", required=False, type=click.Choice(list(_KINDS)), metavar="[KIND]")
@_FOLDER
def list_command(kind: str | None, folder: Path) -> None:
    """List names, all or of one KIND: sizes, grades, stocks, printers, cutters, creasers, binders,
    patterns.

    The first column is the name to give; profiles that are not built in say whose they are.
    """
    library = Library(folder)
    for i, each in enumerate(Kind if kind is None else [_KINDS[kind]]):
        if kind is None:
            click.echo(f"{chr(10) if i else ''}{each.value}")
        for line in _listing(library, each):
            click.echo(line if kind is not None else f"  {line}")


@profiles.command("show")
@click.argument("name")
@_FOLDER
def show_command(name: str, folder: Path) -> None:
    """Print the profile called NAME, of whatever kind, and the file it stands in."""
    library = Library(folder)
    found = [kind for kind in Kind if library.has(kind, name)]
    if not found:
        raise _nothing_called(library, name)
    for i, kind in enumerate(found):
        click.echo(f"{chr(10) if i else ''}# {kind.word}, from {library.path(kind, name)}")
        click.echo(library.text(kind, name), nl=False)


@profiles.command("check")
@click.argument("file", type=click.Path(path_type=Path))
@click.pass_context
def check_command(ctx: click.Context, file: Path) -> None:
    """Check the profile in FILE and name every fault with its line."""
    try:
        faults = check_profile(file, Library(file.parent))
    except JobError as error:
        faults = error.faults
    for fault in faults:
        click.echo(_spoken(fault), err=True)
    if faults:
        ctx.exit(ExitCode.USAGE)
    click.echo(f"{file}: fine")


def _listing(library: Library, kind: Kind) -> list[str]:
    rows = [(name, *_columns(library, kind, name)) for name in library.names(kind)]
    width = max((len(name) for name, *_ in rows), default=0)
    return [f"{name:{width}}  {'  '.join(filter(None, rest))}" for name, *rest in rows]


def _columns(library: Library, kind: Kind, name: str) -> tuple[str, str, str]:
    """The name for people, the measures of a size, and whose it is unless built in."""
    origin = library.origin(kind, name)
    whose = "" if origin is Origin.BUILT_IN else f"({origin.value})"
    if kind is Kind.SIZES:
        size = library.size(name)
        return size.name, size.size.text(size.unit), whose
    return library.title(kind, name), "", whose


def _nothing_called(library: Library, name: str) -> ImposeError:
    from difflib import get_close_matches  # only when something is wrong

    known = sorted({known for kind in Kind for known in library.names(kind)})
    near = get_close_matches(name.lower(), known, 3)
    hint = f"did you mean {', '.join(near)}?" if near else "impose profiles list names them all"
    return ImposeError(f"no profile is called '{name}'", hint=hint)


def _spoken(fault: Finding) -> str:
    hint = f" ({fault.hint})" if fault.hint else ""
    return f"{fault.file}:{fault.line}: {fault.message}{hint}"
