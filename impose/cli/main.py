"""The command line: commands, and the one place where exceptions become exit codes."""

from __future__ import annotations

import importlib
import os
import signal
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import click

from impose.cli.options import job_from, job_options, overrides_from
from impose.errors import ExitCode, ImposeError, told
from impose.findings import Finding

#: Commands that live in modules of their own, imported only when they are called.
_ELSEWHERE = {
    "cover": ("impose.cli.cover_command", "cover"),
    "layouts": ("impose.cli.layouts_command", "layouts"),
    "profiles": ("impose.cli.profiles_command", "profiles"),
    "register": ("impose.cli.register_command", "register"),
    "print-ready": ("impose.cli.ready_command", "print_ready"),
    "spine": ("impose.cli.spine_command", "spine"),
    "watch": ("impose.cli.watch_command", "watch"),
    "start": ("impose.cli.start_command", "start"),
}


class _Lazy(click.Group):
    """Imports a command's module when the command is asked for, so that --help stays quick."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted({*super().list_commands(ctx), *_ELSEWHERE})

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name in _ELSEWHERE:
            module, name = _ELSEWHERE[cmd_name]
            command = getattr(importlib.import_module(module), name)
            assert isinstance(command, click.Command)
            return command
        return super().get_command(ctx, cmd_name)


@click.group(cls=_Lazy, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="impose")
def cli() -> None:
    """From finished pages to everything needed to print, bind and trim a book or zine."""


@cli.command()
@job_options
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=Path("print"),
    show_default=True,
    help="Folder for the results.",
)
@click.option(
    "--only",
    help="Only these, comma between: guts, cover, cuts, ticket, guide, proof, report, plan.",
)
@click.option(
    "--drift", is_flag=True, help="A second proof, every cut off by the cutter's tolerance."
)
@click.option("--no-check", is_flag=True, help="Do not look at what is on the pages.")
@click.option("--strict", is_flag=True, help="Warnings count as errors.")
@click.option("--json", "as_json", is_flag=True, help="Findings as JSON on stdout.")
@click.option("--quiet", is_flag=True, help="No progress and no list of files.")
@click.option(
    "--jobs",
    type=click.IntRange(1, 256),
    help="Several job files, each into a folder of its own: so many at once (as many as cores).",
)
@click.option("--again", is_flag=True, help="Of several jobs, make unchanged ones again, too.")
def make(inputs: tuple[str, ...], **options: Any) -> int:
    """Make the whole job into a folder, from a job file or from pages and options.

    Several job files are made side by side, each into a folder of its name.
    """
    out, only = options.pop("out"), options.pop("only")
    speak = {
        name: options.pop(name) for name in ("strict", "as_json", "quiet", "no_check", "drift")
    }
    jobs, again = options.pop("jobs"), options.pop("again")
    if jobs is not None or len([name for name in inputs if name.lower().endswith(".toml")]) > 1:
        from impose.cli.many import Asked, run_many

        asked = Asked(files=inputs, out=out, only=only, jobs=jobs, again=again)
        return run_many(asked, overrides_from(options), speak)
    from impose.cli.making import run_make

    return run_make(job_from(inputs, options), out, only, speak)


@cli.command()
@job_options
@click.option("--strict", is_flag=True, help="Warnings count as errors.")
@click.option("--json", "as_json", is_flag=True, help="Findings as JSON on stdout.")
@click.option("--quiet", is_flag=True, help="No progress.")
def check(inputs: tuple[str, ...], **options: Any) -> int:
    """Say what is wrong or worth a look; nothing is written."""
    from impose.cli.making import run_check

    speak = {name: options.pop(name) for name in ("strict", "as_json", "quiet")}
    return run_check(job_from(inputs, options), speak)


def main(arguments: list[str] | None = None) -> None:
    """The `impose` program: runs a command and leaves with its exit code."""
    from impose.pdf.limits import limit_memory

    arguments = sys.argv[1:] if arguments is None else arguments
    limit_memory()
    for name in ("SIGTERM", "SIGHUP"):  # not all are on every system
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.default_int_handler)
    code = run(arguments)
    try:
        sys.stdout.flush()
    except OSError:
        code = code or int(ExitCode.OUTPUT)
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    sys.exit(code)


def run(arguments: list[str]) -> int:
    """A command line to its exit code; mistakes of the user end in words, not a traceback."""
    try:
        result = cli.main(args=arguments, prog_name="impose", standalone_mode=False)
    except click.exceptions.Exit as leave:
        return leave.exit_code
    except click.ClickException as fault:
        fault.show()
        for line in _next_step(fault, arguments):
            click.echo(line, err=True)
        return int(ExitCode.USAGE)
    except (KeyboardInterrupt, click.Abort):
        click.echo("interrupted; nothing half-written was left", err=True)
        return int(ExitCode.INTERRUPTED)
    except BrokenPipeError:  # whoever read the results has gone, and needs no words
        return int(ExitCode.OUTPUT)
    except (ImposeError, MemoryError, OSError) as fault:
        said = told(fault)
        assert said is not None
        return _say(*said, arguments)
    return result if isinstance(result, int) else int(ExitCode.FINE)


def _next_step(fault: click.ClickException, arguments: Sequence[str]) -> Iterator[str]:
    """What to do when something is missing from the command line."""
    if isinstance(fault, click.BadOptionUsage):
        name = next(iter(arguments), "")
        command = cli.get_command(click.Context(cli), name)
        params = command.params if command else []
        options = (p for p in params if isinstance(p, click.Option))
        option = next((p for p in options if fault.option_name in p.opts), None)
        if option is not None and option.help:
            values = option.metavar or option.type.name.upper()
            yield f"    {fault.option_name} {values}: {option.help}"
    if not isinstance(fault, click.MissingParameter) or fault.param is None:
        return
    if isinstance(fault.param, click.Option) and fault.param.help:
        yield f"    {fault.param.opts[0]}: {fault.param.help}"
    elif fault.param.name == "inputs":
        yield "    for example: impose make zine.pdf --binding saddle --trim a5 --sheet a4"
        yield "    or: impose start zine.pdf, which asks in plain words and writes a job file"


def _say(faults: Sequence[Finding], code: ExitCode, arguments: list[str]) -> int:
    from impose.cli.speaking import say_findings, say_json  # not needed for --help

    (say_json if "--json" in arguments else say_findings)(faults)
    return int(code)
