"""The start command of one learner's server, under a JupyterHub of any kind.

`dragwork-learner` makes or updates the learner's copy in their home folder, and hands over to
`jupyterhub-singleuser` with the settings of the workbook. What follows the command is handed on.
"""

import os
import signal
import sys
from pathlib import Path

import nbformat
from jupyterhub import singleuser
from nbformat.sign import NotebookNotary

from dragwork.setup import lab, open_workbook, working_copy
from dragwork.teaching.profile import NAME, PLACE, Profile


def main(arguments: list[str] | None = None) -> None:
    """Run the command; it ends when the server ends."""
    arguments = sys.argv[1:] if arguments is None else arguments
    copy = Path.home() / open_workbook.FOLDER
    written, notes = working_copy.prepare(working_copy.origin(), copy)
    print(*notes, sep="\n", end="\n" if notes else "", flush=True)
    notary = NotebookNotary()
    for path in written:
        notary.sign(nbformat.read(path, nbformat.current_nbformat))
    os.environ[PLACE] = str(copy / NAME)
    _introduce(os.environ.get("JUPYTERHUB_USER", ""))
    os.chdir(copy)
    page = open_workbook.find_page(copy, open_workbook.FIRST_NOTEBOOK)
    sys.argv = ["dragwork-learner", *lab.settings(copy, page, copy / ".labextensions"), *arguments]
    singleuser.main()


def _introduce(nickname: str) -> None:
    """Let the workbook know who signed in, so that the leader's key has this learner's numbers."""
    profile = Profile()
    if nickname and "name" not in profile.content["me"]:
        profile.keep_me(name=nickname, about={"nickname": nickname})


def become(environment: dict[str, str], folder: str, user: int | None, arguments: list[str]) -> None:
    """The same in a process that was forked for it; it writes to `server.log` in the folder.

    Parameters
    ----------
    environment
        All of its environment variables.
    folder
        The learner's home folder.
    user
        The number of the system user who owns it; None where all have one.
    arguments
        What follows the command.
    """
    os.setsid()
    # A server ends by this signal; a class that was started in the background hands on that it is ignored.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    os.umask(0o077)
    os.chdir(folder)
    if user is not None:
        os.setgroups([])
        os.setgid(user)
        os.setuid(user)
    with open("server.log", "w") as log:
        os.dup2(log.fileno(), 1)
        os.dup2(log.fileno(), 2)
    os.environ.clear()
    os.environ.update(environment)
    main(arguments)


if __name__ == "__main__":
    main()
