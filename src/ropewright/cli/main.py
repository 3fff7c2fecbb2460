"""Entry: finds the command, runs it, and turns what went wrong into one line and a status."""

import os
import sys
from importlib import import_module
from importlib.util import find_spec

import click

from ropewright import __version__
from ropewright.cli.streams import prepare_streams, quiet_output
from ropewright.cli.terminal import clean
from ropewright.errors import RopewrightError

__all__ = ["COMMANDS", "main"]

UNUSABLE = 2
INTERRUPTED = 130
_PIPE_CLOSED = 141  # what a shell reports for a program that a closed pipe ended

# In the order of the help page. A command is a module of cli/commands that holds a click command named
# `command`; it is imported when it is asked for, so that none pays for another's start.
COMMANDS = (
    "check",
    "trace",
    "draw",
    "card",
    "who",
    "prove",
    "mistakes",
    "find",
    "sheets",
    "new",
    "schema",
    "catalogue",
    "serve",
    "backup",
    "restore",
)


class _LazyGroup(click.Group):
    """A group whose commands are modules."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        return [name for name in COMMANDS if find_spec(f"ropewright.cli.commands.{name}")]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in self.list_commands(ctx):
            return None
        command = import_module(f"ropewright.cli.commands.{cmd_name}").command
        if not isinstance(command, click.Command):
            raise TypeError(f"cli/commands/{cmd_name}.py holds no click command named 'command'")
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        known = self.list_commands(ctx)
        if args and args[0] not in known and not args[0].startswith("-"):
            raise click.UsageError(f"no command is called '{args[0]}'; known are {', '.join(known)}")
        return super().resolve_command(ctx, args)


@click.group(
    cls=_LazyGroup,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="For planning and training under a qualified person. The maker's instructions, the authority "
    "having jurisdiction and a hands-on check before loading come first.",
)
@click.version_option(__version__, prog_name="ropewright", message="%(prog)s %(version)s")
def ropewright() -> None:
    """Work out the forces, the margins and who is held in rope rescue rigs."""


def main(argv: list[str] | None = None) -> int:
    """Run one command and return its exit status.

    argv: the words after the program's name; left out, those of the process.
    Returns 0 when all is well (for `check`: within policy), 1 where a finding says stop, 2 where the input
    can't be used, 130 after an interrupt, 141 where the reader of the output went away.
    """
    prepare_streams()
    output = sys.stdout
    try:
        status = ropewright.main(args=argv, prog_name="ropewright", standalone_mode=False)
        sys.stdout.flush()
    except click.exceptions.Exit as ended:
        return ended.exit_code
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.message)
        return UNUSABLE
    except click.ClickException as error:
        _complain(error.format_message())
        return UNUSABLE
    except RopewrightError as error:
        _complain(str(error))
        return UNUSABLE
    except (click.Abort, KeyboardInterrupt):
        return INTERRUPTED
    except BrokenPipeError:
        quiet_output()
        return _PIPE_CLOSED
    except SystemExit as ended:
        if sys.stdout is not output:  # click puts something else in its place where a pipe closed
            quiet_output()
            return _PIPE_CLOSED
        return _ended(ended)
    except OSError as error:
        _complain(f"{error.filename or 'output'}: {error.strerror or error}")
        return UNUSABLE
    except Exception as error:
        if os.environ.get("ROPEWRIGHT_TRACEBACK"):
            raise
        _complain(f"this should not have happened: {type(error).__name__}: {error}")
        _complain(
            "nothing was checked; with ROPEWRIGHT_TRACEBACK=1 set, the same call shows where it happened"
        )
        return UNUSABLE
    return status if isinstance(status, int) else 0


def _ended(ended: SystemExit) -> int:
    """The status of a command that left by itself, as a server does."""
    if ended.code is None:
        return 0
    return ended.code if isinstance(ended.code, int) else UNUSABLE


def _complain(text: str) -> None:
    for line in text.split("\n"):
        click.echo(f"ropewright: {clean(line)}", err=True)
