#!/usr/bin/env python3
"""Opens the report in a browser; see README.md. Not part of cargo test."""
import argparse
import base64
import json
import shutil
import struct
import subprocess
import sys
import tempfile
import time
import venv
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parents[2]
DECKED = REPOSITORY / "tests" / "boats"
NEEDS = ["websocket-client", "pypdf"]
WIDTHS = {"desktop": (1280, 800, False), "phone": (390, 844, True)}
# Paper in inches, as the browser's printing takes it.
PAPERS = {"A4": (8.268, 11.693), "Letter": (8.5, 11.0)}
MOST_BYTES, MOST_SECONDS, LEAST_TRIANGLES = 5_000_000, 10.0, 200_000

# What a page must be, asked of the page itself.
ASK = """(() => {
  const all = s => [...document.querySelectorAll(s)];
  const ids = all('[id]').map(e => e.id);
  const named = svg => {
    const by = (svg.getAttribute('aria-labelledby') || '').split(' ').filter(Boolean);
    return svg.getAttribute('role') === 'img' && by.length >= 1
      && by.every(id => document.getElementById(id)?.textContent.trim());
  };
  return JSON.stringify({
    title: document.title, lang: document.documentElement.lang,
    sideways: document.documentElement.scrollWidth - window.innerWidth,
    twice: ids.filter((id, n) => ids.indexOf(id) !== n),
    dead: all('a[href^="#"]').map(a => a.getAttribute('href').slice(1)).filter(id => !document.getElementById(id)),
    drawings: all('svg').length, unnamed: all('svg').filter(svg => !named(svg)).length,
    blind: all('img:not([alt])').length, headings: all('h1').length,
    headless: all('table').filter(t => !t.querySelector('th')).length,
    empty: all('main section').filter(s => s.getBoundingClientRect().height < 20).length,
    words: document.body.innerText.length,
  });
})()"""


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--venv", type=Path, help="folder for the Python environment, kept")
    parser.add_argument("--awash", type=Path, default=REPOSITORY / "target/release/awash")
    parser.add_argument("--chromium", default=shutil.which("chromium") or shutil.which("chromium-browser"))
    parser.add_argument("--pictures", type=Path, help="keep pictures of the pages here")
    parser.add_argument("--inside", action="store_true", help=argparse.SUPPRESS)
    arguments = parser.parse_args()
    if not arguments.chromium:
        sys.exit("no chromium: apt-get install chromium")
    if not arguments.inside:
        with tempfile.TemporaryDirectory() as scratch:
            folder = arguments.venv or Path(scratch) / "venv"
            python = folder / "bin" / "python"
            if not python.exists():
                venv.create(folder, with_pip=True)
            subprocess.run([python, "-m", "pip", "install", "--quiet", *NEEDS], check=True)
            return subprocess.run([python, __file__, *sys.argv[1:], "--inside"]).returncode
    with tempfile.TemporaryDirectory() as scratch:
        scratch = Path(scratch)
        made(arguments.awash, DECKED, scratch, "after.toml", "before.toml")
        made(arguments.awash, DECKED, scratch, "dived.toml", "after.toml")
        made(arguments.awash, DECKED, scratch, "bulkheads.toml", "before.toml")
        fine = split_boats(scratch)
        seconds, _ = made(arguments.awash, fine, scratch / "alone", "after.toml")
        at_most("report of the split hull, s", seconds, MOST_SECONDS)
        # Each step from the boat before is a craft of its own: told, not limited.
        seconds, page = made(arguments.awash, fine, scratch / "fine", "after.toml", "before.toml")
        print(f"the same with the boat before, s: {seconds:.1f}")
        at_most("report of the split hull, bytes", page.stat().st_size, MOST_BYTES)
        with Browser(arguments.chromium, scratch) as browser:
            for html in sorted(scratch.glob("*.html")):
                for name, size in WIDTHS.items():
                    look(browser, html, name, size, arguments.pictures)
                if html.name.startswith("sheet"):
                    for paper, size in PAPERS.items():
                        pages = browser.pages(html, size)
                        at_most(f"{html.name} printed on {paper}, pages", pages, 1)
    print("all as they must be")
    return 0


def made(awash, boats, folder, boat, before=None):
    """Makes a report and its sheet; returns the seconds it took and the page."""
    folder.mkdir(exist_ok=True)
    stem = Path(boat).stem
    page, sheet = folder / f"report-{stem}.html", folder / f"sheet-{stem}.html"
    started = time.monotonic()
    both = [boats / name for name in (boat, before) if name]
    command = [awash, "report", *both, "-o", page, "--sheet", sheet]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.monotonic() - started, page


def split_boats(scratch):
    """The tests' boats with each triangle of its hull split in nine."""
    folder = scratch / "boats"
    shutil.copytree(DECKED, folder)
    path = folder / "hull.stl"
    data = path.read_bytes()
    count = struct.unpack_from("<I", data, 80)[0]
    triangles = []
    for n in range(count):
        t = struct.unpack_from("<9f", data, 84 + 50 * n + 12)
        triangles += in_nine(t[0:3], t[3:6], t[6:9])
    body = b"".join(struct.pack("<12fH", 0, 0, 0, *t, 0) for t in triangles)
    path.write_bytes(bytes(80) + struct.pack("<I", len(triangles)) + body)
    print(f"hull split to {len(triangles)} triangles")
    if len(triangles) < LEAST_TRIANGLES:
        sys.exit("the open hull is too coarse for this check")
    return folder


def in_nine(a, b, c):
    def at(i, j):
        k = 3 - i - j
        return tuple((i * x + j * y + k * z) / 3 for x, y, z in zip(a, b, c))

    for i in range(3):
        for j in range(3 - i):
            yield at(i, j) + at(i + 1, j) + at(i, j + 1)
            if i + j < 2:
                yield at(i + 1, j) + at(i + 1, j + 1) + at(i, j + 1)


def at_most(what, got, most):
    print(f"{what}: {got:.1f}, must be at most {most}")
    if got > most:
        sys.exit(f"{what}: too much")


def look(browser, html, name, size, pictures):
    page = browser.open(html, size)
    faults = {key: page[key] for key in ("twice", "dead") if page[key]}
    faults |= {key: page[key] for key in ("unnamed", "blind", "headless", "empty") if page[key]}
    if page["sideways"] > 0:
        faults["runs out sideways, px"] = page["sideways"]
    if page["lang"] != "en" or not page["title"] or page["headings"] != 1 or page["words"] < 500:
        faults["page"] = page
    if browser.troubles:
        faults["errors"] = browser.troubles
    fetched = [url for url in browser.fetched if not url.startswith(("file:", "data:"))]
    if fetched:
        faults["fetched"] = fetched
    print(f"{html.name} at {name} width: {page['drawings']} drawings, faults: {faults or 'none'}")
    if pictures:
        pictures.mkdir(parents=True, exist_ok=True)
        (pictures / f"{html.stem}-{name}.png").write_bytes(browser.picture(size))
    if faults:
        sys.exit("the page is not as it must be")


class Browser:
    """A headless browser, driven by its own debugging protocol."""

    def __init__(self, chromium, scratch):
        import websocket

        self.process = subprocess.Popen(
            [chromium, "--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
             "--remote-debugging-port=0", "--remote-allow-origins=*",
             f"--user-data-dir={scratch / 'profile'}", "about:blank"],
            stderr=subprocess.DEVNULL, stdout=subprocess.DEVNULL)
        port = scratch / "profile" / "DevToolsActivePort"
        for _ in range(300):
            if port.exists() and len(port.read_text().splitlines()) >= 2:
                break
            time.sleep(0.1)
        number, path = port.read_text().splitlines()[:2]
        self.socket = websocket.create_connection(f"ws://127.0.0.1:{number}{path}", timeout=120)
        self.number, self.session = 0, None
        target = self.ask("Target.createTarget", url="about:blank")["targetId"]
        self.session = self.ask("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        self.troubles, self.fetched, self.loaded = [], [], False
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.ask(f"{domain}.enable")

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.process.terminate()
        self.process.wait()

    def ask(self, method, **parameters):
        self.number += 1
        message = {"id": self.number, "method": method, "params": parameters}
        if self.session:
            message["sessionId"] = self.session
        self.socket.send(json.dumps(message))
        while True:
            answer = json.loads(self.socket.recv())
            if answer.get("id") == self.number:
                if "error" in answer:
                    sys.exit(f"{method}: {answer['error']}")
                return answer["result"]
            self.note(answer)

    def note(self, event):
        method, parameters = event.get("method"), event.get("params", {})
        if method == "Runtime.exceptionThrown":
            self.troubles.append(parameters["exceptionDetails"]["text"])
        elif method == "Runtime.consoleAPICalled" and parameters["type"] in ("error", "warning"):
            self.troubles.append(str(parameters["args"]))
        elif method == "Log.entryAdded" and parameters["entry"]["level"] in ("error", "warning"):
            self.troubles.append(parameters["entry"]["text"])
        elif method == "Network.requestWillBeSent":
            self.fetched.append(parameters["request"]["url"])
        elif method == "Page.loadEventFired":
            self.loaded = True

    def open(self, html, size):
        width, height, phone = size
        self.troubles, self.fetched, self.loaded = [], [], False
        self.ask("Emulation.setDeviceMetricsOverride", width=width, height=height,
                 deviceScaleFactor=1, mobile=phone)
        self.ask("Page.navigate", url=html.as_uri())
        while not self.loaded:
            self.note(json.loads(self.socket.recv()))
        answer = self.ask("Runtime.evaluate", expression=ASK)
        return json.loads(answer["result"]["value"])

    def picture(self, size):
        width, _, phone = size
        shot = self.ask("Page.captureScreenshot", captureBeyondViewport=True)
        return base64.b64decode(shot["data"])

    def pages(self, html, paper):
        import io

        from pypdf import PdfReader

        self.open(html, WIDTHS["desktop"])
        width, height = paper
        pdf = self.ask("Page.printToPDF", paperWidth=width, paperHeight=height,
                       printBackground=True, preferCSSPageSize=False)
        return len(PdfReader(io.BytesIO(base64.b64decode(pdf["data"]))).pages)


if __name__ == "__main__":
    sys.exit(main())
