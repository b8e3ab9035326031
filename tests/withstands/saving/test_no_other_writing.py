"""Nothing of the program writes a file but through `engine.files.atomic`, or for a reason that stands here."""

from __future__ import annotations

import ast
from pathlib import Path

HOUSE = Path(__file__).parents[3]
OTHERWISE = {
    "engine/files/atomic.py": "the one way",
    "engine/files/lock.py": "the lock file: it holds nothing of the person's",
    "engine/files/recovery.py": "a journal that is read: opened so that it can be locked",
    "engine/files/tape.py": "the journal: appended to, each frame with its checksum",
    "app/cli.py": "the null device",
    "app/own_rules_runner.py": "what a rule prints, without a name",
    "app/paper/docx/writing.py": "into memory",
    "app/workbook_parts.py": "into memory",
    "app/handover/placing.py": "the pack: beside its place first, then renamed; its order is tested in this folder",
    "app/settings.py": "settings that cannot be read are renamed before new ones are written",
    "app/log.py": "the log: appended to",
    "app/picture_file.py": "into the temporary folder of the window that asked for it",
    "app/window/comfort/sheet_picture.py": "into a temporary folder, for a process",
    "app/window/handover/making.py": "into a temporary folder, for a process",
    "app/window/printing.py": "into a temporary folder, for a process",
    "app/window/titling/asking.py": "into a temporary folder, for a process",
    "app/window/underlay/reader.py": "into a temporary folder, for the window",
    "app/paper/files.py": "what waits on the disk, without a name",
}
METHODS = {"write_bytes", "write_text", "touch", "hardlink_to", "symlink_to", "extractall"}
OF_MODULES = {
    "os": {"replace", "rename", "renames", "truncate", "link", "symlink", "mkfifo", "open"},
    "shutil": {"copy", "copy2", "copyfile", "copytree", "move", "copyfileobj", "make_archive", "unpack_archive"},
    "tempfile": {"mkstemp", "NamedTemporaryFile", "TemporaryFile", "SpooledTemporaryFile", "mktemp"},
}


def writes(call: ast.Call) -> bool:
    """Whether a call may put something on the disk, as far as its text tells."""
    called = call.func
    name = called.attr if isinstance(called, ast.Attribute) else called.id if isinstance(called, ast.Name) else ""
    of = called.value.id if isinstance(called, ast.Attribute) and isinstance(called.value, ast.Name) else ""
    if of in OF_MODULES:
        if (of, name) == ("os", "open"):
            return "O_WRONLY" in ast.unparse(call) or "O_RD" not in ast.unparse(call)
        return name in OF_MODULES[of]
    if name in METHODS:
        return isinstance(called, ast.Attribute)
    if name in ("open", "ZipFile", "fdopen"):
        texts = [a.value for a in (*call.args, *(k.value for k in call.keywords)) if isinstance(a, ast.Constant)]
        return any(isinstance(t, str) and set(t) <= set("rwxabt+U") and set(t) & set("wxa+") for t in texts)
    # a path moved: text has `replace` with two arguments
    return (
        name in ("rename", "replace")
        and len(call.args) == 1
        and not call.keywords
        and "structs" not in ast.unparse(called)
    )


def test_every_write_is_known() -> None:
    found = set()
    for place in ("engine", "app", "symbols"):
        for path in (HOUSE / place).rglob("*.py"):
            if any(writes(node) for node in ast.walk(ast.parse(path.read_bytes())) if isinstance(node, ast.Call)):
                found.add(path.relative_to(HOUSE).as_posix())
    assert found == set(OTHERWISE)


def test_the_look_finds_each_way_to_write() -> None:
    ways = (
        "p.write_bytes(d)",
        "p.write_text('x')",
        "open(p, 'w')",
        "open(p, mode='xb')",
        "p.open('ab')",
        "p.open('r+b')",
        "os.open(p, os.O_WRONLY)",
        "os.open(p, flags)",
        "os.replace(a, b)",
        "p.rename(q)",
        "p.replace(q)",
        "shutil.copy(a, b)",
        "zipfile.ZipFile(p, 'w')",
        "tempfile.mkstemp()",
    )
    others = ("p.open('rb')", "open(p)", "text.replace('a', 'b')", "os.open(p, os.O_RDONLY)", "write_bytes(p, d)")
    for text in (*ways, *others):
        (call,) = (node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Call))
        assert writes(call) == (text in ways), text
