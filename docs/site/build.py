#!/usr/bin/env python3
"""The site: docs/, the book that ships, the commands' own help and the schemas, as pages with search; every link is followed.

usage: build.py PROGRAM [FOLDER]     into FOLDER (target/site); FOLDER/html/index.html is its first page

Needs Python 3.9 and mdbook 0.5 (`cargo install --locked mdbook --version 0.5.4 --no-default-features --features search`). Fetches nothing, and
no page of it fetches anything from elsewhere. Status 1 where a link leads nowhere,
a picture has no words, or a page of the book no caution."""

import re
import shutil
import subprocess
import sys
import time
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
PROGRAM = str(Path(sys.argv[1]).resolve())
FOLDER = Path(sys.argv[2] if len(sys.argv) > 2 else ROOT / "target/site").resolve()
SOURCE, SITE = FOLDER / "src", FOLDER / "html"


def run(*words):
    """What the program prints, at the width of a page."""
    done = subprocess.run([PROGRAM, *words], capture_output=True, text=True, check=True, env={"COLUMNS": "76", "NO_COLOR": "1"})
    return done.stdout


def put_together():
    if FOLDER.exists():
        assert (FOLDER / "book.toml").exists() or not any(FOLDER.iterdir()), f"{FOLDER} holds something else"
        shutil.rmtree(FOLDER)
    SOURCE.mkdir(parents=True)
    shutil.copy(HERE / "book.toml", FOLDER)
    shutil.copy(HERE / "site.css", FOLDER)
    for page in [*(ROOT / "docs").glob("*.md"), ROOT / "CHANGELOG.md", ROOT / "SECURITY.md"]:
        (SOURCE / page.name).write_text(at_home(page.read_text(), page))
    shutil.copytree(ROOT / "docs/pictures", SOURCE / "pictures", ignore=shutil.ignore_patterns("*.py", "*.sha256"))
    run("provide", "book", str(SOURCE / "book"))
    contents = (SOURCE / "book/contents.md").read_text()
    (SOURCE / "book/contents.md").unlink()
    contents = re.sub(r"\]\((?=[^)])", "](book/", contents)
    listed = (HERE / "contents.md").read_text()
    left_out = [page.name for page in (ROOT / "docs").glob("*.md") if f"]({page.name})" not in listed]
    assert not left_out, f"docs/site/contents.md does not list {', '.join(left_out)}"
    (SOURCE / "SUMMARY.md").write_text(listed + contents)
    (SOURCE / "index.md").write_text(first_page())
    (SOURCE / "commands.md").write_text(commands())
    (SOURCE / "schemas.md").write_text(schemas())


def at_home(text, page):
    """Links to pages of the site lead there, by the page's title where they say its file; what they name elsewhere in the source tree is named, not linked."""
    titles = {file: title for title, file in re.findall(r"\[([^]]+)\]\(([^)]+)\)", (HERE / "contents.md").read_text())}

    def link(found):
        words, target = found.groups()
        words = titles.get(words.removeprefix("docs/"), words)
        if re.match(r"[a-z]+:|#", target):
            return found.group()
        path = (page.parent / target.split("#")[0]).resolve()
        if path.parent in (ROOT / "docs", ROOT) and path.suffix == ".md" and path.name not in ("README.md", "DEVELOPERS.md"):
            return f"[{words}]({path.name}{target[len(target.split('#')[0]):]})"
        return found.group() if path.is_relative_to(ROOT / "docs/pictures") else words if words.startswith("`") else f"`{path.relative_to(ROOT)}`"
    return re.sub(r"(?<!!)\[([^\]]+)\]\(([^)\s]+)\)", link, text)


def first_page():
    """The first paragraphs of README.md, its pictures and its list of what there is."""
    text = (ROOT / "README.md").read_text()
    head = text[:text.index("Left the plan of an example job")]
    what = text[text.index("## What it is"):text.index("Everything that a person can see")]
    caution = text[text.index("## Caution and scope"):text.index("## Licence")]
    begin = "- At the car: [first job in five minutes](first-job.md)\n- In the workshop: [first rules in ten minutes](first-rules.md)\n- In a team: [rules in CI](adopt.md)\n"
    page = at_home(f"{head}\n{begin}\n{what}\n{caution}\n", ROOT / "README.md")
    return page.replace('"docs/pictures/', '"pictures/')


def commands():
    out = ["# Commands", "Each from its own `--help`.", "```text\n" + run("--help") + "```"]
    listed = re.search(r"Commands:\n(.*?)\n\n", run("--help"), re.S).group(1)
    for name in re.findall(r"(?m)^  ([a-z]+)", listed):
        if name != "help":
            out += [f"## {name}", "```text\n" + run(name, "--help") + "```"]
    return "\n\n".join(out) + "\n"


def schemas():
    """The documents with a schema, from the command's own list of them."""
    (SOURCE / "schemas").mkdir()
    out = ["# Schemas", "JSON Schemas of all that a script reads from the program or gives to it; `faultbook provide schema NAME` prints them too.\n"]
    listed = run("provide", "schema", "--help").split("\nOptions:")[0]
    for name, what in re.findall(r"(?m)^ +- ([a-z-]+): +(.*)$", listed):
        (SOURCE / f"schemas/{name}.json").write_text(run("provide", "schema", name))
        out.append(f"- [{name}](schemas/{name}.json): {what}")
    assert len(out) > 5, "the list of schemas can't be read from `provide schema --help`"
    return "\n".join(out) + "\n"


class Page(HTMLParser):
    """What a page links to, and what in it can be linked to."""

    def __init__(self, text):
        super().__init__()
        self.text, self.links, self.names, self.wordless = text, [], set(), 0
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        self.names.update(v for k, v in attributes if k in ("id", "name") and v)
        self.links.extend(v for k, v in attributes if k in ("href", "src") and v)
        self.wordless += tag == "img" and not given.get("alt")


def dead_links():
    pages = {path: Page(path.read_text()) for path in SITE.rglob("*.html")}
    dead, outside, count = [], set(), 0
    for path, page in pages.items():
        where = path.relative_to(SITE)
        if page.wordless:
            dead.append(f"{where}: a picture without words")
        if where.parts[0] == "book" and "Caution." not in page.text:
            dead.append(f"{where}: without a caution")
        for link in page.links:
            parts = urlsplit(link)
            if parts.scheme or parts.netloc:
                outside.add(link)
                continue
            count += 1
            target = (path.parent / unquote(parts.path)).resolve() if parts.path else path
            if not target.is_file():
                dead.append(f"{where}: {link}")
            elif parts.fragment and target in pages and unquote(parts.fragment) not in pages[target].names:
                dead.append(f"{where}: {link} (no such place on that page)")
    return pages, count, dead, outside


def main():
    start = time.monotonic()
    put_together()
    mdbook = shutil.which("mdbook") or sys.exit("mdbook is missing: " + __doc__.split("mdbook 0.5 (")[1].split(")")[0])
    subprocess.run([mdbook, "build", "--dest-dir", str(SITE), str(FOLDER)], check=True)
    pages, count, dead, outside = dead_links()
    print(f"{len(pages)} pages, {count} links followed, {len(outside)} lead elsewhere, {time.monotonic() - start:.0f} s")
    if dead:
        sys.exit("\n".join([*dead[:50], f"{len(dead)} to mend"]))


main()
