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
NEEDS = ["websocket-client", "pymupdf"]
WIDTHS = {"desktop": (1280, 800, False), "tablet": (768, 1024, True), "phone": (390, 844, True), "small phone": (320, 568, True)}
# Least height of a text in a drawing as it is shown, px; least contrast of a text (WCAG
# 2.2, success criterion 1.4.3).
LEAST_TEXT_PX, LEAST_CONTRAST = 9.0, 4.5
# Of a printed page but the last: the share of its height that may be blank at its foot.
MOST_BLANK = 0.5
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
    bare: all('table').filter(t => !t.caption?.textContent.trim()).length,
    small: all('svg text').map(t => [parseFloat(getComputedStyle(t).fontSize) * t.getScreenCTM().a, t.textContent])
      .filter(([px]) => px < LEAST_TEXT_PX - 0.01).slice(0, 3),
    unhinted: all('.wide').filter(w => w.scrollWidth > w.clientWidth + 1).filter(w => {
      const hint = getComputedStyle(w, '::before');
      return hint.content === 'none' || parseFloat(hint.maxHeight) < 5;
    }).length,
    pale: pale(),
  });
  function pale() {
    const light = c => { const [r, g, b] = c.match(/[\\d.]+/g).slice(0, 3).map(v => v / 255)
      .map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
    const paper = light(getComputedStyle(document.body).backgroundColor);
    const seen = new Map();
    for (const e of all('h1, h2, h3, p, li, a, th, td, span, figcaption')) {
      const ink = light(getComputedStyle(e).color);
      const ratio = (Math.max(ink, paper) + 0.05) / (Math.min(ink, paper) + 0.05);
      if (e.innerText.trim() && ratio < LEAST_CONTRAST) seen.set(e.className || e.tagName, ratio.toFixed(1));
    }
    return [...seen].map(String);
  }
})()""".replace("LEAST_TEXT_PX", str(LEAST_TEXT_PX)).replace("LEAST_CONTRAST", str(LEAST_CONTRAST))
# What is not as it must be, all told at the end.
FAULTS = []
DARK = "getComputedStyle(document.body).backgroundColor.match(/\\d+/g).every(v => v < 64)"


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--venv", type=Path, help="folder for the Python environment, kept")
    parser.add_argument("--awash", type=Path, default=REPOSITORY / "target/release/awash")
    parser.add_argument("--chromium", default=shutil.which("chromium") or shutil.which("chromium-browser"))
    parser.add_argument("--pictures", type=Path, help="keep pictures of the pages here")
    parser.add_argument("--slow", action="store_true", help="a dev build: times are told, not limited")
    parser.add_argument("--inside", action="store_true", help=argparse.SUPPRESS)
    arguments = parser.parse_args()
    if not arguments.chromium:
        print("NOT RUN: no chromium (apt-get install chromium)")
        return 0
    if not arguments.inside:
        with tempfile.TemporaryDirectory() as scratch:
            folder = arguments.venv or Path(scratch) / "venv"
            python = folder / "bin" / "python"
            if not python.exists():
                venv.create(folder, with_pip=True)
            if subprocess.run([python, "-m", "pip", "install", "--quiet", *NEEDS]).returncode:
                print(f"NOT RUN: pip gives no {', '.join(NEEDS)}")
                return 0
            return subprocess.run([python, __file__, *sys.argv[1:], "--inside"]).returncode
    with tempfile.TemporaryDirectory() as scratch:
        scratch = Path(scratch)
        made(arguments.awash, DECKED, scratch, "after.toml", "before.toml")
        made(arguments.awash, DECKED, scratch, "dived.toml", "after.toml")
        made(arguments.awash, DECKED, scratch, "bulkheads.toml", "before.toml")
        hard = scratch / "hard"
        subprocess.run([sys.executable, DECKED.parent / "pictures" / "boats.py", hard], check=True)
        made(arguments.awash, hard, scratch, "many.toml")
        fine = split_boats(scratch)
        seconds, _ = made(arguments.awash, fine, scratch / "alone", "after.toml")
        if arguments.slow:
            print(f"report of the split hull, s: {seconds:.1f}, not held to its limit")
        else:
            at_most("report of the split hull, s", seconds, MOST_SECONDS)
        # Each step from the boat before is a craft of its own: told, not limited.
        seconds, page = made(arguments.awash, fine, scratch / "fine", "after.toml", "before.toml")
        print(f"the same with the boat before, s: {seconds:.1f}")
        at_most("report of the split hull, bytes", page.stat().st_size, MOST_BYTES)
        with Browser(arguments.chromium, scratch) as browser:
            for html in sorted(scratch.glob("*.html")):
                is_sheet = html.name.startswith("sheet")
                for name, size in WIDTHS.items():
                    look(browser, html, name, size, arguments.pictures)
                browser.dark(True)
                look(browser, html, "dark desktop", WIDTHS["desktop"], arguments.pictures)
                if not browser.value(DARK):
                    FAULTS.append(f"{html.name}: not dark where dark is wanted")
                browser.dark(False)
                for paper, size in PAPERS.items():
                    pages = browser.pages(html, size)
                    if is_sheet:
                        at_most(f"{html.name} printed on {paper}, pages", len(pages), 1)
                    blank = max(pages[:-1], default=0.0)
                    where = f"page {pages.index(blank) + 1} of {len(pages)}" if len(pages) > 1 else "one page"
                    at_most(f"{html.name} on {paper}, blank foot in % ({where})", 100 * blank, 100 * MOST_BLANK)
    print("\n".join(["NOT as they must be:", *FAULTS]) if FAULTS else "all as they must be")
    return int(bool(FAULTS))


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
        FAULTS.append(f"{what}: {got:.1f} is too much")


def look(browser, html, name, size, pictures):
    page = browser.open(html, size)
    faults = {key: page[key] for key in ("twice", "dead") if page[key]}
    faults |= {key: page[key] for key in ("unnamed", "blind", "headless", "empty") if page[key]}
    faults |= {key: page[key] for key in ("bare", "unhinted", "pale") if page[key]}
    if page["small"]:
        faults["small texts in drawings, px"] = page["small"]
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
        (pictures / f"{html.stem}-{name.replace(' ', '-')}.png").write_bytes(browser.picture(size))
    if faults:
        FAULTS.append(f"{html.name} at {name} width: {faults}")


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
        # Hints follow how far a thing is moved, which the next frame tells.
        frames = "new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))"
        self.ask("Runtime.evaluate", expression=frames, awaitPromise=True)
        return json.loads(self.value(ASK))

    def value(self, expression):
        return self.ask("Runtime.evaluate", expression=expression)["result"]["value"]

    def dark(self, wanted):
        features = [{"name": "prefers-color-scheme", "value": "dark" if wanted else "light"}]
        self.ask("Emulation.setEmulatedMedia", features=features)

    def picture(self, size):
        width, _, phone = size
        shot = self.ask("Page.captureScreenshot", captureBeyondViewport=True)
        return base64.b64decode(shot["data"])

    def pages(self, html, paper):
        """The share of each printed page's height that is blank at its foot."""
        import pymupdf

        self.open(html, WIDTHS["desktop"])
        width, height = paper
        pdf = self.ask("Page.printToPDF", paperWidth=width, paperHeight=height,
                       printBackground=True, preferCSSPageSize=False)
        shares = []
        for page in pymupdf.open(stream=base64.b64decode(pdf["data"]), filetype="pdf"):
            drawn = page.get_pixmap(dpi=50, colorspace=pymupdf.csGRAY)
            rows = [drawn.samples[k * drawn.stride:k * drawn.stride + drawn.width] for k in range(drawn.height)]
            last = max((k for k, row in enumerate(rows) if min(row) < 200), default=0)
            shares.append(1 - (last + 1) / drawn.height)
        return shares


if __name__ == "__main__":
    sys.exit(main())
