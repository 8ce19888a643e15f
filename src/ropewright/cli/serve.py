"""`ropewright serve`: the pages, on this machine alone."""

from __future__ import annotations

import json
import socket
from threading import Thread

import click

from ropewright.cli.errors import shows_input_errors
from ropewright.cli.options import WholeNumber, json_option
from ropewright.cli.store_options import store_place
from ropewright.errors import InputError

__all__ = ["serve"]

#: Where the pages are looked for first; a free port is taken where another program has it.
_PORT = 8010
_HERE = "127.0.0.1"


@click.command(epilog="Example: ropewright --store jobs.db serve --no-browser")
@click.option(
    "--port",
    type=WholeNumber(0, 65535),
    metavar="N",
    help=f"Port to listen on; 0 for any that is free. {_PORT}, or any that is free, if left out.",
)
@click.option("--no-browser", is_flag=True, help="Print the link only; don't open a browser.")
@json_option
@click.pass_context
@shows_input_errors
def serve(ctx: click.Context, port: int | None, *, no_browser: bool, as_json: bool) -> None:
    """Serve the pages on this machine alone, and open them by a link that works once.

    Jobs and the record are kept where --store says. Ends with Ctrl-C.
    """
    from ropewright.web.app import create_app
    from ropewright.web.settings import Settings

    with _listening(port) as ear:
        settings = Settings(place=store_place(ctx), port=ear.getsockname()[1], warm=True)
        app = create_app(settings)
        app.state.store.open()  # a place that can't be opened is told here, not on a page
        told = {"link": settings.link, "port": settings.port, "works": "once"}
        click.echo(json.dumps(told) if as_json else f"Open {settings.link}\nThe link works once. Ctrl-C ends it.")
        if not no_browser:
            _open_browser(settings.link)
        _run(app, ear)


def _listening(port: int | None) -> socket.socket:
    """Socket that listens on this machine alone."""
    wanted = [_PORT, 0] if port is None else [port]
    for number in wanted:
        ear = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        ear.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            ear.bind((_HERE, number))
            ear.listen(128)
        except OSError as error:
            ear.close()
            if number == wanted[-1]:
                raise InputError("--port", number, f"give a port that is free, or 0 ({error.strerror})") from error
        else:
            return ear
    raise AssertionError


def _open_browser(link: str) -> None:
    import webbrowser

    Thread(target=webbrowser.open, args=(link,), daemon=True).start()


def _run(app: object, ear: socket.socket) -> None:
    import uvicorn

    config = uvicorn.Config(
        app,  # type: ignore[arg-type]
        log_level="warning",
        access_log=False,
        ws="none",
        server_header=False,
        timeout_graceful_shutdown=3,
    )
    try:
        uvicorn.Server(config).run(sockets=[ear])
    except KeyboardInterrupt:
        click.echo("Ended.", err=True)
