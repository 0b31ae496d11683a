"""A class on one computer: `python3 workbook --class`. Standard library only; `serving.class_hub` is what it starts."""

import argparse
import json
import os
import secrets
import socket
import subprocess
from collections.abc import Callable
from pathlib import Path

from dragwork.files import write_in_one_step
from dragwork.setup import lab
from dragwork.setup.environment import SetupProblem

LEADER = "leader"  # the nickname of who leads
WORDS = "words.json"  # passphrase, the leader's word, and the digests of the learners' words
HERE = ("127.0.0.1", "localhost", "::1")
SYLLABLES = [a + b for a in "bdfgklmnprstvz" for b in ("a", "e", "i", "o", "u")]
SETTINGS = "DRAGWORK_CLASS"  # environment variable: what the command says to the hub


def main(arguments: list[str], name: str, folder: Path, prepared: Callable[[str], Path]) -> int:
    """Serve a class until it is stopped; return the exit code.

    Parameters
    ----------
    arguments
        What follows the command.
    name
        The command as it was typed.
    folder
        Where all of the class is kept, unless the arguments say another.
    prepared
        Makes the environment with an extra; returns its Python.

    Raises
    ------
    SetupProblem
        With a sentence that says what is missing.
    """
    if os.name == "nt":
        raise SetupProblem("A class can be served from Linux or macOS, not from Windows. Each learner can\n"
                           "still open the workbook on their own computer: py workbook")  # fmt: skip
    options = _options(name, folder).parse_args(arguments)
    folder = options.folder.absolute()
    folder.mkdir(parents=True, exist_ok=True)
    if options.forget:
        return _forget(folder, options.forget)
    if bool(options.certificate) != bool(options.key):
        raise SetupProblem("A certificate and its key belong together: give both --certificate and --key.")
    words = read_words(folder)
    if options.passphrase is not None:
        if len(options.passphrase) < 8:
            raise SetupProblem("A passphrase has at least 8 characters.")
        words["passphrase"] = options.passphrase
    write_words(folder, words)
    with lab.alone(folder) as note:
        if isinstance(note, str):
            raise SetupProblem(f"This class is open already at\n\n    {note}\n\nClose it first, or give --folder.")
        return _serve(options, folder, words, prepared("class"), note)


def _options(name: str, folder: Path) -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog=f"{name} --class",
        description="Serve a class from this computer: each learner signs in from a browser with a nickname, "
        "the passphrase, and a private word of their own, and has a copy of the workbook there.",
    )
    parser.add_argument("--address", default=HERE[0], help="where learners reach it; without it this computer only; "
                        "0.0.0.0 is every network it is on")  # fmt: skip
    parser.add_argument("--port", type=lab.port, default=8000, help="the port, 8000 unless said")
    parser.add_argument("--certificate", type=Path, help="a certificate (PEM), so that nobody can read along")
    parser.add_argument("--key", type=Path, help="the key of the certificate (PEM)")
    parser.add_argument("--passphrase", help="the passphrase of the class; without it the last one, or a new one")
    parser.add_argument("--memory", type=int, default=1000, metavar="MB", help="a server that takes more memory is "
                        "stopped; 1000 MB unless said, enough for five lessons at once")  # fmt: skip
    parser.add_argument("--idle", type=int, default=60, metavar="MINUTES", help="a server that nobody has used for so "
                        "long is stopped; 60 unless said")  # fmt: skip
    parser.add_argument("--forget", metavar="NICKNAME", help="let a learner choose a new private word, and do nothing else")
    parser.add_argument("--folder", type=Path, default=folder, help="where the class is kept; without it in %(default)s")
    return parser


def read_words(folder: Path) -> dict:
    """The words of a class: passphrase, leader, and learners' nicknames with their digests."""
    try:
        return json.loads((Path(folder) / WORDS).read_text(encoding="utf-8"))
    except FileNotFoundError:
        return {"passphrase": _spoken_word(4), LEADER: _spoken_word(4), "learners": {}}


def write_words(folder: Path, words: dict) -> None:
    """Keep the words of a class where nobody else can read them."""
    before = os.umask(0o077)
    try:
        write_in_one_step(Path(folder) / WORDS, json.dumps(words, indent=1).encode())
    finally:
        os.umask(before)


def _forget(folder: Path, nickname: str) -> int:
    words = read_words(folder)
    if words["learners"].pop(nickname.strip().lower(), None) is None:
        raise SetupProblem(f"Nobody in this class has the nickname '{nickname}'.")
    write_words(folder, words)
    print(f"'{nickname}' can choose a new private word at the next sign-in. Their notebooks are kept.")
    return 0


def _spoken_word(parts: int) -> str:
    """A word that can be read out and typed: each part has 14 bits."""
    return "-".join("".join(secrets.choice(SYLLABLES) for _ in range(2)) for _ in range(parts))


def _serve(options: argparse.Namespace, folder: Path, words: dict, python: Path, note: Callable) -> int:
    address = _own_address() if options.address == "0.0.0.0" else options.address
    link = f"http{'s' if options.certificate else ''}://{address}:{options.port}"
    said = {**vars(options), "folder": folder, "welcome": _welcome(options, folder, words, link)}
    process = subprocess.Popen(
        [str(python), "-c", "from dragwork.serving.class_hub import main; main()"], cwd=folder,
        env={**os.environ, SETTINGS: json.dumps(said, default=str)},
    )  # fmt: skip
    note(link)
    try:
        return process.wait()
    except KeyboardInterrupt:
        print("\nStopping the learners' servers. Their work is kept.", flush=True)
        return 0
    finally:
        lab.stop(process, grace=60)


def _welcome(options: argparse.Namespace, folder: Path, words: dict, link: str) -> str:
    """What is printed when the class is open."""
    lines = [
        f"\nThe class is open at\n\n    {link}\n",
        f"Learners sign in with a nickname, the passphrase  {words['passphrase']}  and a private word of their own.",
        f"You sign in as '{LEADER}' with the private word  {words[LEADER]}  and find the list under 'Admin'.",
    ]
    if options.address not in HERE and not options.certificate:
        lines.append(
            "Without a certificate anybody on the way can read the passphrase, the private words and all that is "
            "typed;\ngive --certificate and --key on a network that you do not trust."
        )
    return "\n".join([*lines, f"All of it is kept in {folder}. Leave this window open; Ctrl-C here stops it."])


def _own_address() -> str:
    """This computer's address in its network: nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address that is set aside for examples, RFC 5737
            return probe.getsockname()[0]
        except OSError:
            return socket.gethostname()
