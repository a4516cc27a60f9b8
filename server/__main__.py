"""Start the workbench: ``python -m server``."""

import argparse
import ipaddress
import socket
import sys
import threading
from pathlib import Path

PORT = 8760
"""Taken where no other is asked for; if something else has it, any free one."""


def main(arguments=None):
    """Print where the workbench is found, then serve it until it is stopped."""
    wanted = _arguments(arguments)
    try:
        listener = listening(wanted.host, wanted.port)
    except OSError as fault:
        sys.exit(f"Cannot listen on {wanted.host}, port {wanted.port or PORT}: {_words(fault)}.")
    from server.storage import data_folder

    data = (wanted.data or data_folder()).expanduser().absolute()
    with listener:
        try:
            app = _app(data, wanted.read_only, () if _is_address(wanted.host) else (wanted.host,))
            shelf_key = app.state.store.shelf_key()
        except OSError as fault:
            sys.exit(f"Cannot keep projects in {data}: {_words(fault)}.")
        for line in announcement(wanted.host, listener.getsockname()[1], shelf_key, data):
            print(line, flush=True)
        if wanted.read_only:
            print("Read-only: nothing can be changed.", flush=True)
        _serve(app, listener)


def listening(host, port):
    """Return a listening socket; where no port is asked for, the usual one or else any free one."""
    for candidate in (port,) if port is not None else (PORT, 0):
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        listener = socket.socket(family, socket.SOCK_STREAM)
        if sys.platform != "win32":
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((host, candidate))
            listener.listen(128)
            return listener
        except OSError:
            listener.close()
            if candidate == (port if port is not None else 0):
                raise
    raise AssertionError("one of the two candidates returns or raises")


def announcement(host, port, shelf_key, data):
    """Return the lines that say where the workbench and its projects are found."""
    from server.security import lan_address

    everywhere = host in ("0.0.0.0", "::")
    reached = lan_address() if everywhere else host
    alone = reached is None or _is_loopback(reached)
    opening = f"http://{_bracketed(str(reached))}:{port}/open/{shelf_key}"
    here = f"http://{'localhost' if everywhere else _bracketed(host)}:{port}/"
    # Whoever asks at the machine's network address is not known to sit at the machine.
    lines = [f"On this machine:  {here if everywhere or alone else opening}"]
    if reached is None:
        lines.append("From a phone:     this machine is on no network")
    elif alone:
        lines.append("From a phone:     not while --host is an address of this machine alone")
    else:
        lines.append(f"From a phone:     {opening}  (yours alone)")
    return [*lines, f"Projects:         {data}"]


def _arguments(arguments):
    parser = argparse.ArgumentParser(
        prog="bafflewright", description="A workbench in the browser for building loudspeakers."
    )
    parser.add_argument(
        "--host",
        default="0.0.0.0",
        help="address to listen on; 127.0.0.1 shuts out other devices (default: all of this machine's; "
        "others see the projects only with the address printed at the start, or with a project's link)",
    )
    parser.add_argument("--port", type=_port, help=f"port to listen on (default: {PORT}, or any free one)")
    parser.add_argument("--data", type=Path, help="folder of the projects (default: this user's data folder)")
    parser.add_argument("--read-only", action="store_true", help="show the projects, change nothing")
    return parser.parse_args(arguments)


def _port(text):
    if not text.isdecimal() or not 0 <= int(text) <= 65535:
        raise argparse.ArgumentTypeError("a port is a whole number from 0 (any free one) to 65535")
    return int(text)


def _app(data, read_only, hosts):
    from server.app import create_app  # costs a second: after the arguments are known to be good

    return create_app(data, read_only, hosts)


def _serve(app, listener):
    import uvicorn

    warming = threading.Timer(1.0, _warm)  # once the first page is out
    warming.daemon = True
    warming.start()
    # Headers that claim another sender are not believed: they could make a stranger the owner.
    config = uvicorn.Config(
        app, log_level="warning", access_log=False, server_header=False, proxy_headers=False
    )
    uvicorn.Server(config).run(sockets=[listener])


def _warm():
    """Draw one set of charts for nobody: the first costs half a second, which no visitor should wait."""
    from calc.evaluate import evaluate
    from server.beginnings import demo
    from server.charts import box_charts
    from server.documents import read_project

    box_charts(evaluate(read_project(demo("reading_room"))))


def _words(fault):
    return (fault.strerror or str(fault)).lower()


def _bracketed(host):
    return f"[{host}]" if ":" in host else host


def _is_address(host):
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return False
    return True


def _is_loopback(host):
    return host == "localhost" or _is_address(host) and ipaddress.ip_address(host).is_loopback


if __name__ == "__main__":
    main()
