"""From declared options to the command line and its help."""

import dataclasses
import inspect
import os
from collections.abc import Callable, Container, Sequence
from importlib import import_module
from typing import Annotated, Any, NamedTuple, get_args, get_origin

import typer

from firmware.commands.outermost import guarded
from firmware.commands.own import CHECK, JOURNAL, KEEP_CLIP, PROFILES, VERIFY, Wired, wired
from firmware.instruments.registry import REGISTRY, Registry
from firmware.system.start_up import collection_held
from firmware.written.declared import Argument, Command, Option


class Field(NamedTuple):
    """One option as it was declared.

    Attributes
    ----------
    name, kind, default:
        Of the dataclass's field; `default` is `dataclasses.MISSING` where there is none.
    declared:
        What was said of it.
    """

    name: str
    kind: Any
    default: object
    declared: Argument | Option

    @property
    def is_many(self) -> bool:
        """Whether it may be given more than once."""
        return get_origin(self.kind) is tuple


def fields_of(options: type) -> list[Field]:
    """Every option of a dataclass: arguments first, then its own, then those it shares."""
    found = []
    for field in dataclasses.fields(options):
        # Not `get_type_hints`: it takes longer than all the rest of the help.
        kind, declared = get_args(field.type)
        found.append(Field(field.name, kind, field.default, declared))
    own = set(options.__annotations__)
    return sorted(
        found, key=lambda f: (isinstance(f.declared, Option), f.name not in own, f.name == "json")
    )


def _parameter(field: Field) -> inspect.Parameter:
    declared, kind, default = field.declared, field.kind, field.default
    if field.is_many:
        (each, _) = get_args(kind)
        kind = list[each]  # type: ignore[valid-type]
        if default is not dataclasses.MISSING:
            kind, default = kind | None, None
    made: Any
    if isinstance(declared, Argument):
        made = typer.Argument(metavar=declared.metavar, help=declared.words)
    else:
        made = typer.Option(
            declared.flag,
            metavar=declared.metavar or None,
            help=declared.words,
            min=declared.least,
        )
    return inspect.Parameter(
        field.name,
        inspect.Parameter.KEYWORD_ONLY,
        default=inspect.Parameter.empty if default is dataclasses.MISSING else default,
        annotation=Annotated[kind, made],
    )


def function_of(one: Wired, fields: Sequence[Field]) -> Callable[..., None]:
    """What typer calls: checks nothing, makes the options, and lets the command's module run.

    Parameters
    ----------
    one:
        The command.
    fields:
        Its options; none will do where only its name and words are wanted.
    """
    command = one.command

    def called(**given: Any) -> None:  # noqa: ANN401 - whatever the options are
        for field in fields:
            if field.is_many:
                given[field.name] = tuple(given[field.name] or ())
        # Not for the help, which needs no kernels.
        from firmware.system.kernel_cache import kernels_kept  # noqa: PLC0415
        from firmware.system.warmth import drop_strange  # noqa: PLC0415

        with guarded(), kernels_kept(os.environ, first=drop_strange):
            options = command.options(**given)
            with collection_held():  # imports make many objects and no garbage
                if one.first:
                    import_module(one.first).before(options)
                module = import_module(one.module)
            status = module.main(command, options)
        if status:
            raise typer.Exit(status)

    parameters = [_parameter(field) for field in fields]
    called.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    called.__annotations__ = {each.name: each.annotation for each in parameters}
    called.__doc__ = command.words
    called.__name__ = command.name
    return called


def application(registry: Registry = REGISTRY, words: Container[str] | None = None) -> typer.Typer:
    """The command line.

    Parameters
    ----------
    registry:
        Whose commands there are besides those of `own`.
    words:
        What was typed; None where that may yet be anything. A command that is not among it has no
        options, which nobody would see: making them takes longer than all the rest of the help.
    """

    def of(one: Wired) -> Callable[..., None]:
        wanted = words is None or one.command.name in words
        return function_of(one, fields_of(one.command.options) if wanted else ())

    app = typer.Typer(
        name="midgrey",
        help="Exposure and colour checker for a camera feed. Without a command: run.",
        add_completion=False,
        pretty_exceptions_enable=False,
        rich_markup_mode=None,
        context_settings={"help_option_names": ["-h", "--help"]},
    )
    commands = list(wired(registry))

    @app.callback(invoke_without_command=True)
    def default(
        context: typer.Context,
        *,
        version: Annotated[
            bool, typer.Option("--version", help="Print the version and end")
        ] = False,
    ) -> None:
        """Run on the first feed found, else on the bench, where no command is given."""
        if version:
            from importlib.metadata import version as installed  # noqa: PLC0415 - for --help

            typer.echo(f"midgrey {installed('midgrey')}")
            raise typer.Exit
        if context.invoked_subcommand is None:
            fields = fields_of(commands[0].command.options)
            function_of(commands[0], fields)(**{each.name: each.default for each in fields})

    for one in commands:
        app.command(one.command.name)(of(one))
    app.add_typer(_profiles(of), name=PROFILES.name)
    app.add_typer(_journal(of), name=JOURNAL.name)
    return app


def _profiles(of: Callable[[Wired], Callable[..., None]]) -> typer.Typer:
    group = typer.Typer(help=PROFILES.words, rich_markup_mode=None)

    @group.callback(invoke_without_command=True)
    def profiles(
        context: typer.Context,
        *,
        curves: Annotated[
            bool, typer.Option("--curves", help=_flag(PROFILES, "curves").words)
        ] = False,
    ) -> None:
        """List the profiles that ship, or the published curves."""
        if context.invoked_subcommand is None:
            of(Wired(PROFILES, "firmware.commands.profiles"))(curves=curves)

    for one in (CHECK, KEEP_CLIP):
        group.command(one.name)(of(Wired(one, "firmware.commands.profiles")))
    return group


def _journal(of: Callable[[Wired], Callable[..., None]]) -> typer.Typer:
    group = typer.Typer(help=JOURNAL.words, rich_markup_mode=None)
    module = "firmware.commands.journal"
    listed = of(Wired(JOURNAL, module))

    def journal(context: typer.Context, **given: Any) -> None:  # noqa: ANN401 - as declared
        if context.invoked_subcommand is None:
            listed(**given)

    kind = inspect.Parameter.POSITIONAL_OR_KEYWORD
    context = inspect.Parameter("context", kind, annotation=typer.Context)
    options = inspect.signature(listed).parameters.values()
    journal.__signature__ = inspect.Signature([context, *options])  # type: ignore[attr-defined]
    journal.__annotations__ = {"context": typer.Context, **listed.__annotations__}
    journal.__doc__ = JOURNAL.words
    group.callback(invoke_without_command=True)(journal)
    group.command(VERIFY.name)(of(Wired(VERIFY, module)))
    return group


def _flag(command: Command, name: str) -> Argument | Option:
    return next(f.declared for f in fields_of(command.options) if f.name == name)
