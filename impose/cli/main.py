"""The command line: commands, and the one place where exceptions become exit codes."""

from __future__ import annotations

import importlib
import os
import signal
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from impose.cli.options import job_from, job_options
from impose.errors import ExitCode, ImposeError, JobError
from impose.findings import Finding

#: Commands that live in modules of their own, imported only when they are called.
_ELSEWHERE = {
    "cover": ("impose.cli.cover_command", "cover"),
    "layouts": ("impose.cli.layouts_command", "layouts"),
    "profiles": ("impose.cli.profiles_command", "profiles"),
    "register": ("impose.cli.register_command", "register"),
    "spine": ("impose.cli.spine_command", "spine"),
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
    "--only", help="Only these, comma between: guts, cover, cuts, ticket, proof, report, plan."
)
@click.option(
    "--drift", is_flag=True, help="A second proof, every cut off by the cutter's tolerance."
)
@click.option("--no-check", is_flag=True, help="Do not look at what is on the pages.")
@click.option("--strict", is_flag=True, help="Warnings count as errors.")
@click.option("--json", "as_json", is_flag=True, help="Findings as JSON on stdout.")
@click.option("--quiet", is_flag=True, help="No progress and no list of files.")
def make(inputs: tuple[str, ...], **options: Any) -> int:
    """Make the whole job into a folder, from a job file or from pages and options."""
    from impose.cli.making import run_make

    out, only = options.pop("out"), options.pop("only")
    speak = {
        name: options.pop(name) for name in ("strict", "as_json", "quiet", "no_check", "drift")
    }
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


_NO_MEMORY = Finding.error(
    "refused",
    "the job needs more memory than there is for it",
    hint="make it in parts, or on a larger machine",
)


def _no_system(fault: OSError) -> Finding:
    """A fault of the system under the program: a full disk behind stdout, no more processes."""
    where = f"{fault.filename}: " if fault.filename else ""
    return Finding.error(
        "refused",
        f"the system says: {where}{fault.strerror or fault}",
        hint="check that there is room where the results go",
    )


def run(arguments: list[str]) -> int:
    """A command line to its exit code; mistakes of the user end in words, not a traceback."""
    try:
        result = cli.main(args=arguments, prog_name="impose", standalone_mode=False)
    except click.exceptions.Exit as leave:
        return leave.exit_code
    except click.ClickException as fault:
        fault.show()
        return int(ExitCode.USAGE)
    except (KeyboardInterrupt, click.Abort):
        click.echo("interrupted; nothing half-written was left", err=True)
        return int(ExitCode.INTERRUPTED)
    except JobError as fault:
        return _say(fault.faults, fault.exit_code, arguments)
    except ImposeError as fault:
        return _say([fault.finding()], fault.exit_code, arguments)
    except MemoryError:
        return _say([_NO_MEMORY], ExitCode.INPUT, arguments)
    except BrokenPipeError:  # whoever read the results has gone, and needs no words
        return int(ExitCode.OUTPUT)
    except OSError as fault:
        return _say([_no_system(fault)], ExitCode.OUTPUT, arguments)
    return result if isinstance(result, int) else int(ExitCode.FINE)


def _say(faults: Sequence[Finding], code: ExitCode, arguments: list[str]) -> int:
    from impose.cli.speaking import say_findings, say_json  # not needed for --help

    (say_json if "--json" in arguments else say_findings)(faults)
    return int(code)
