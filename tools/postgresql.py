"""Runs a command beside a PostgreSQL server of its own, which is gone afterwards.

Usage: ``python3 tools/postgresql.py COMMAND...``; the command finds the address in
``INCHWATER_DATABASE_URL``.  The server listens on a socket in a temporary folder only.
"""

import contextlib
import glob
import os
import pwd
import shutil
import subprocess
import sys
import tempfile

OWNER = "inchwater"


def programs():
    """The folder of ``initdb`` and ``pg_ctl``, the newest version's; None without a server."""
    folders = sorted(
        glob.glob("/usr/lib/postgresql/*/bin"),
        key=lambda path: int(path.split("/")[4].split(".")[0]),
    )
    on_path = shutil.which("initdb")
    folders = ([os.path.dirname(os.path.realpath(on_path))] if on_path else []) + folders
    usable = (f for f in reversed(folders) if os.access(os.path.join(f, "pg_ctl"), os.X_OK))
    return next(usable, None)


def missing():
    """What to do by hand, in words."""
    return (
        "No PostgreSQL server is installed here. "
        "On Debian or Ubuntu: `apt-get install postgresql` as root."
    )


def account():
    """Whom the server runs as: it refuses root, so root lends it another account."""
    if os.geteuid() != 0:
        return None
    for name in ("postgres", "nobody"):
        with contextlib.suppress(KeyError):
            return pwd.getpwnam(name)
    raise RuntimeError("PostgreSQL does not run as root, and there is no other account.")


@contextlib.contextmanager
def server():
    """Address of a new, empty PostgreSQL server; it is stopped and removed at the end."""
    found = programs()
    if found is None:
        raise RuntimeError(missing())
    lent = account()
    # A socket's path may have a hundred characters at most, and some systems' own folder is longer.
    base = "/tmp" if os.path.isdir("/tmp") else None
    with tempfile.TemporaryDirectory(prefix="inchwater-pg-", dir=base) as folder:
        if lent:
            os.chown(folder, lent.pw_uid, lent.pw_gid)
        as_user = {"user": lent.pw_uid, "group": lent.pw_gid, "extra_groups": []} if lent else {}
        data, log = os.path.join(folder, "data"), os.path.join(folder, "log")

        def run(name, *arguments):
            command = [os.path.join(found, name), *arguments]
            done = subprocess.run(
                command, capture_output=True, text=True, cwd=folder, check=False, **as_user
            )
            if done.returncode:
                raise RuntimeError(f"`{name}` failed:\n{done.stdout}{done.stderr}")

        run("initdb", "-D", data, "-U", OWNER, "--auth=trust", "--encoding=UTF8", "--no-sync")
        # No network address; nothing here outlives the folder, so nothing is forced to the disk.
        options = (
            f"-c listen_addresses='' -c unix_socket_directories='{folder}' "
            "-c unix_socket_permissions=0700 -c fsync=off"
        )
        # Without a log file of its own the server would hold this process's pipes open.
        run("pg_ctl", "-D", data, "-w", "-l", log, "-o", options, "start")
        try:
            yield f"postgresql://{OWNER}@/postgres?host={folder}"
        finally:
            run("pg_ctl", "-D", data, "-w", "-m", "immediate", "stop")


def main(command):
    """Run the command beside a server and give its exit code."""
    if not command:
        print("A command is missing: python3 tools/postgresql.py COMMAND...", file=sys.stderr)
        return 2
    try:
        with server() as url:
            environment = {**os.environ, "INCHWATER_DATABASE_URL": url}
            return subprocess.run(command, env=environment, check=False).returncode
    except RuntimeError as error:
        print(error, file=sys.stderr)
        return 2


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
