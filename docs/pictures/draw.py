#!/usr/bin/env python3
"""Pictures for README.md and docs/: real runs of the program on a terminal of its own, drawn as SVG, each with its words beside it as text.

usage: draw.py PROGRAM            draw all anew beside this script
       draw.py PROGRAM --check    draw elsewhere and say which of those here are not what the program shows now; status 1 if any
       draw.py PROGRAM --reports  also photograph the report pages, with chromium; they are made for paper, and light in every browser

Needs Python 3.9 on a system with pseudo-terminals, nothing else. The report pages are photographed from the HTML whose SHA-256 stands in
reports.sha256: a browser's pixels differ from machine to machine, so it is the page that is checked, not the photograph of it."""

import fcntl
import hashlib
import json
import os
import pty
import re
import shutil
import struct
import subprocess
import sys
import tempfile
import termios
from pathlib import Path
from xml.sax.saxutils import escape

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
PROGRAM = str(Path(sys.argv[1]).resolve())
COLUMNS = 60

MISTAKES = '''book my-workshop "My workshop"
  over  faultbook

cause shroud-loose "Fan shroud loose, rubbing a hose"
  pror    0.2 %
  shows   shroud             loose almost-always
  brings  charge-hose-splt   usually

sign shroud "Fan shroud and its clips"
  states  tight, loose
'''


# ---------------------------------------------------------------- recording

def record(words, folder):
    """What the program writes on a terminal, and nothing else: bytes of standard output and standard error as they come."""
    main, end = pty.openpty()
    fcntl.ioctl(end, termios.TIOCSWINSZ, struct.pack("HHHH", 40, COLUMNS, 0, 0))
    kept = {k: v for k, v in os.environ.items() if k not in ("COLUMNS", "NO_COLOR") and not k.startswith("FAULTBOOK")}
    child = subprocess.Popen([PROGRAM, *words], cwd=folder, stdin=subprocess.DEVNULL, stdout=end, stderr=end, env=kept | {"TERM": "xterm-256color"})
    os.close(end)
    out = b""
    while True:
        try:
            some = os.read(main, 65536)
        except OSError:  # the other end is closed: Linux says so with an error
            break
        if not some:
            break
        out += some
    child.wait()
    os.close(main)
    return out.decode().replace("\r\n", "\n").replace(str(folder), "~")


def cut(text, first, last):
    """The lines from the first that matches up to, not with, the next that matches `last`."""
    lines = text.rstrip("\n").split("\n")
    start = next(i for i, line in enumerate(lines) if re.search(first, plain(line)))
    end = next((i for i in range(start + 1, len(lines)) if re.search(last, plain(lines[i]))), len(lines)) if last else len(lines)
    return "\n".join(lines[start:end]).rstrip("\n")


def plain(text):
    return re.sub(r"\x1b\[[0-9;]*m", "", text)


def walked(folder):
    """Answers up to the first look and what it shows: no danger is so, what the customer says is so, the look finds what is wrong."""
    answers = []

    def begin():
        (folder / "answers.txt").write_text("".join(a + "\n" for a in answers))
        shutil.copy(folder / "jobs/van-no-pull.toml", folder / "jobs/van.toml")

    def open_question():
        begin()
        seen = subprocess.run([PROGRAM, "walk", "jobs/van.toml", "--answers", "answers.txt", "--json"], cwd=folder, capture_output=True, text=True)
        ask = json.loads(seen.stdout)["ask"]
        return ask, [r["key"] for r in ask["replies"] if r["key"].isdigit()]

    ask, keys = open_question()
    while (ask["progress"] or "").startswith("intake"):
        assert len(answers) < 40, "the intake of the example has no end"
        said = [str(i) for i, item in enumerate(ask.get("items") or [], 1) if "“" in item["words"]]
        answers.append(" ".join(said) or ("2" if ask["id"].startswith("trait") else "0" if "0" in keys else "1"))
        ask, keys = open_question()
    while ask["progress"]:  # a step: where it is a repair, its first key proves it first
        assert len(answers) < 50, "the example comes to nothing to look at"
        answers.append("1")
        ask, keys = open_question()
    answers.append(keys[-1])  # the states of a sign, the worst last
    begin()


def scenes(folder):
    """Name, the command as it is shown, and its screen."""
    shutil.copytree(ROOT / "examples/harbour-garage", folder, dirs_exist_ok=True)
    plan = record(["plan", "jobs/van-no-pull.toml"], folder)
    yield "plan", "faultbook plan jobs/van-no-pull.toml", cut(plan, "^What it may be", "^The steps")
    walked(folder)
    walk = record(["walk", "jobs/van.toml", "--answers", "answers.txt"], folder)
    yield "walk-intake", "faultbook walk jobs/van.toml", cut(walk, "^Delivery", r"^\(intake, about [1-3o]")
    yield "walk-step", "faultbook walk jobs/van.toml", cut(walk, "^Check:", r"^\(about")
    (folder / "first").mkdir()
    (folder / "first/own.rules").write_text(MISTAKES)
    yield "lint", "faultbook lint first", record(["lint", "first"], folder).rstrip("\n")
    shutil.copytree(folder / "rules", folder / "rules-new")
    own = folder / "rules-new/own.rules"
    text = own.read_text()
    changed = re.sub(r"(?m)^(  takes\s+)\d+ min", r"\g<1>25 min", text, count=1)
    changed = re.sub(r"(?m)^(  prior\s+)[\d.]+ %", r"\g<1>9 %", changed, count=1)
    assert changed != text, "the example's own rules have neither a time nor a prior to change"
    own.write_text(changed)
    compared = record(["compare", "rules", "rules-new", "--job", "jobs/van-no-pull.toml"], folder)
    yield "compare", "faultbook compare rules rules-new --job jobs/van-no-pull.toml", compared.rstrip("\n")


# ---------------------------------------------------------------- drawing

WIDE, HIGH, SIZE, PAD = 8.4, 18, 14, 14  # of a cell, of its letters, and around all, in pixels
EIGHTHS = {c: (8 - i) / 8 for i, c in enumerate("█▉▊▋▌▍▎▏")}
COLOURS = "black red green yellow blue magenta cyan white".split()
STYLE = """
.p{fill:#fbfaf7;stroke:#d5d0c4}text{fill:#24292f;font:14px "DejaVu Sans Mono",ui-monospace,Menlo,Consolas,monospace;white-space:pre}
.r{stroke:#8a8577}.bar{fill:#b3541e}.b{font-weight:700}.d{opacity:.65}.i{font-style:italic}.u{text-decoration:underline}.c{fill:#6b6558}
.red{fill:#b3261e}.green{fill:#1f7a3a}.yellow{fill:#8a6100}.blue{fill:#1d5fa8}.magenta{fill:#8a2f8a}.cyan{fill:#0b6f78}
@media (prefers-color-scheme:dark){.p{fill:#1c1f23;stroke:#3a3f45}text{fill:#dfe2e5}.r{stroke:#7d8590}.bar{fill:#e8935a}.c{fill:#9aa2ab}
.red{fill:#ff8a80}.green{fill:#7bd88f}.yellow{fill:#e6c35c}.blue{fill:#82b4ff}.magenta{fill:#e39ae3}.cyan{fill:#6fd3dc}}
""".replace("\n", "")


def runs(line):
    """Pieces of a line that look the same: column, classes, text."""
    look, column, out = {}, 0, []
    for piece in re.split(r"(\x1b\[[0-9;]*m)", line):
        if not piece.startswith("\x1b"):
            if piece:
                out.append((column, " ".join(look.values()), piece))
            column += len(piece)
            continue
        codes = [int(c or 0) for c in piece[2:-1].split(";")]
        if codes[:2] == [38, 5]:
            codes = [30 + codes[2] % 8]
        for code in codes:
            if code == 0:
                look = {}
            elif code in (1, 2, 3, 4):
                look[code] = {1: "b", 2: "d", 3: "i", 4: "u"}[code]
            elif code == 22:
                look.pop(1, None), look.pop(2, None)
            elif code in (23, 24):
                look.pop(code - 20, None)
            elif code == 39:
                look.pop("colour", None)
            elif 30 <= code % 60 <= 37 and code < 98:
                look["colour"] = COLOURS[code % 60 - 30]
    return out


def draw(title, command, screen):
    lines = [("c", "$ " + command), ("", "")] + [("", line) for line in screen.split("\n")]
    width = max(COLUMNS, max(len(plain(l)) for _, l in lines)) * WIDE + 2 * PAD
    height = len(lines) * HIGH + 2 * PAD
    out = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" width="{width:g}" height="{height:g}" role="img">',
           f"<title>{escape(title)}</title><style>{STYLE}</style>",
           f'<rect class="p" x=".5" y=".5" width="{width - 1:g}" height="{height - 1:g}" rx="8"/>']
    for row, (own, line) in enumerate(lines):
        top = PAD + row * HIGH
        for column, look, text in runs(line):
            # what is drawn with letters on a terminal is drawn as what it means: fonts differ
            for part in re.finditer(r"[█▉▊▋▌▍▎▏]+|─+|[^█▉▊▋▌▍▎▏─]+", text):
                x, word = PAD + (column + part.start()) * WIDE, part.group()
                if word[0] in EIGHTHS:
                    out.append(f'<rect class="bar" x="{x:.1f}" y="{top + 3}" width="{sum(EIGHTHS[c] for c in word) * WIDE:.1f}" height="12"/>')
                elif word[0] == "─":
                    out.append(f'<path class="r" d="M{x:.1f} {top + 9}h{len(word) * WIDE:.1f}"/>')
                elif word.strip():
                    lead = len(word) - len(word.lstrip())
                    words = word.strip()
                    marks = f' class="{(own + " " + look).strip()}"' if own or look else ""
                    out.append(f'<text{marks} x="{x + lead * WIDE:.1f}" y="{top + 13}" textLength="{len(words) * WIDE:.1f}">{escape(words)}</text>')
    return "\n".join(out) + "\n</svg>\n"


# ---------------------------------------------------------------- the pages of reports

def reports(folder):
    """The pages of the sheets that the tests of the reports use: name, HTML."""
    sheets = ROOT / "tests/report"
    for reader, sheet in ("customer", "closed.toml"), ("file", "closed.toml"), ("road", "open.toml"):
        page = subprocess.run([PROGRAM, "report", sheet, "--rules", "queue.rules", "--for", reader], cwd=sheets, capture_output=True, check=True).stdout
        (folder / f"{reader}.html").write_bytes(page)
        yield reader, page


def photograph(folder, names, to):
    browser = shutil.which("chromium") or shutil.which("chromium-browser") or sys.exit("chromium is missing")
    for name in names:
        # a window may be no narrower than the browser likes, so the page stands in a frame as wide as a phone
        frame = folder / "frame.html"
        frame.write_text(f'<!doctype html><style>body{{margin:0}}iframe{{border:0;width:390px;height:844px;display:block}}</style><iframe src="{name}.html"></iframe>')
        subprocess.run([browser, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--disable-background-networking",
                        f"--user-data-dir={folder}/home", "--window-size=390,844", f"--screenshot={to}/report-{name}.png", f"file://{frame}"],
                       check=True, stderr=subprocess.DEVNULL, timeout=120)


def main():
    check = "--check" in sys.argv
    stale = []
    with tempfile.TemporaryDirectory() as scratch:
        scratch = Path(scratch)
        to = scratch / "drawn" if check else HERE
        to.mkdir(exist_ok=True)
        for name, command, screen in scenes(scratch / "workshop"):
            (to / f"{name}.svg").write_text(draw(f"The program on a terminal: {command}", command, screen))
            (to / f"{name}.txt").write_text(f"$ {command}\n\n{plain(screen)}\n")
            stale += [f"{name}{end}" for end in (".svg", ".txt") if check and not same(to / (name + end), HERE / (name + end))]
        pages = list(reports(scratch))
        sums = "".join(f"{hashlib.sha256(page).hexdigest()}  {name}.html\n" for name, page in pages)
        if "--reports" in sys.argv:
            photograph(scratch, [name for name, _ in pages], HERE)
            (HERE / "reports.sha256").write_text(sums)
        elif (HERE / "reports.sha256").read_text() != sums:
            stale.append("report-*.png")
    if stale:
        sys.exit(f"not what the program shows now: {', '.join(stale)}; draw them anew: docs/pictures/draw.py PROGRAM --reports")
    print(f"{'checked' if check else 'drawn'}: pictures in {HERE.relative_to(ROOT)}")


def same(one, other):
    return other.exists() and one.read_bytes() == other.read_bytes()


main()
