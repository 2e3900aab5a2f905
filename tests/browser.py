"""A real browser for tests: Chromium without a window, driven by its command line alone.

A copy of the page gets a small script that looks about once everything has
loaded and tells the page round it; that page shows it in frames of several
widths at once (a window itself is never as narrow as a telephone) and is
written out by --dump-dom.
"""

from __future__ import annotations

import html
import json
import re
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

BROWSER = shutil.which("chromium") or ""

_LOOK = """
<script>
const all = (what) => [...document.querySelectorAll(what)];
// Pictures asked for before the page has loaded hold its load event back.
const probes = all("image, img").map((one) => {
  const probe = new Image();
  probe.src = one.getAttribute("href") || one.getAttribute("src");
  return [one, probe];
});
addEventListener("load", () => {
  const broken = probes.filter(([one, probe]) =>
    !probe.complete || !probe.naturalWidth || !one.getBoundingClientRect().width).length;
  const wide = document.documentElement.clientWidth;
  const inBox = (one) => one.closest(".scroll");
  parent.postMessage(JSON.stringify({
    width: innerWidth,
    images: probes.length,
    broken: broken,
    dead: all('a[href^="#"]').map((a) => a.getAttribute("href"))
      .filter((to) => !document.getElementById(to.slice(1))),
    doubled: all("[id]").map((one) => one.id).filter((id, at, ids) => ids.indexOf(id) !== at),
    scroll: document.documentElement.scrollWidth - wide,
    outside: all("body *").filter((one) => !inBox(one) && !one.closest("svg") &&
      one.getBoundingClientRect().right > wide + 1).map((one) => one.tagName + ": " +
      one.textContent.slice(0, 60)),
    headings: all("h1, h2, h3, h4").map((one) => Number(one.tagName[1])),
    unnamed: all("svg:not([aria-hidden])").filter((one) => !one.getAttribute("aria-label")).length,
    smallest: Math.min(...words().map((one) => parseFloat(getComputedStyle(one).fontSize))),
    dark: matchMedia("(prefers-color-scheme: dark)").matches,
    pale: pale(),
  }), "*");
});

function words() {
  return all("h1, h2, h3, p, li, dd, dt, td, th, a, b, span, figcaption, caption")
    .filter((one) => one.textContent.trim() && !one.closest("svg"));
}

// Contrast of words against their ground: WCAG 2.2, 1.4.3 asks for 4.5 to 1.
function pale() {
  const level = (part) => (part /= 255) <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
  const light = (rgb) => 0.2126 * level(rgb[0]) + 0.7152 * level(rgb[1]) + 0.0722 * level(rgb[2]);
  const parts = (words) => words.match(/[\\d.]+/g).map(Number);
  const ground = (one) => {
    for (let at = one; at; at = at.parentElement) {
      const rgb = parts(getComputedStyle(at).backgroundColor);
      if (rgb.length === 3 || rgb[3] > 0) return rgb;
    }
    return [255, 255, 255];
  };
  const found = [];
  for (const one of words()) {
    const pair = [light(parts(getComputedStyle(one).color)), light(ground(one))];
    const ratio = (Math.max(...pair) + 0.05) / (Math.min(...pair) + 0.05);
    if (ratio < 4.5) {
      found.push(one.tagName + " " + ratio.toFixed(2) + ": " + one.textContent.slice(0, 40));
    }
  }
  return found;
}
</script>
"""

_ROUND = """<!DOCTYPE html><meta charset="utf-8"><body>
<script>
addEventListener("message", (told) => {{
  const line = document.createElement("pre");
  line.className = "told";
  line.textContent = told.data;
  document.body.append(line);
}});
</script>
{frames}
"""


@dataclass(frozen=True)
class Seen:
    """What the browser saw at each width, and what stood on its console."""

    at: dict[int, dict[str, Any]]
    console: list[str]


def need_browser(folder: Path) -> None:
    """Skips the test where there is no browser, or one that opens nothing here (a sandbox may
    keep it from the folder, or it may lack a library)."""
    if not BROWSER:
        pytest.skip("no chromium on PATH: the report is not opened in a browser")
    page = folder / "nothing.html"
    page.write_text("<!DOCTYPE html><html><body><h1>x</h1></body></html>", "utf-8")
    try:
        open_in_browser(page, folder, (360,))
    except (AssertionError, OSError, subprocess.TimeoutExpired) as error:
        pytest.skip(f"chromium opens no page here: {str(error)[:300]}")


def open_in_browser(page: Path, folder: Path, widths: tuple[int, ...], dark: bool = False) -> Seen:
    """A copy of `page` in `folder`, with the script that looks; raises when it tells nothing."""
    copy = folder / "copy.html"
    text = page.read_text("utf-8")
    assert text.count("</body>") == 1
    copy.write_text(text.replace("</body>", f"{_LOOK}</body>"), "utf-8")
    frames = "".join(
        f'<iframe src="copy.html" style="width:{w}px;height:900px;border:0"></iframe>'
        for w in widths
    )
    around = folder / "around.html"
    around.write_text(_ROUND.format(frames=frames), "utf-8")
    command = [
        BROWSER,
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-dev-shm-usage",
        "--no-first-run",
        "--disable-extensions",
        "--disable-background-networking",
        "--enable-logging=stderr",
        f"--user-data-dir={folder / 'profile'}",
        "--window-size=1600,1000",
        "--virtual-time-budget=20000",
        *(["--blink-settings=preferredColorScheme=0"] if dark else []),
        "--dump-dom",
        around.as_uri(),
    ]
    done = subprocess.run(command, capture_output=True, timeout=120, check=False)
    found = re.findall(r'<pre class="told">(.*?)</pre>', done.stdout.decode(), re.S)
    seen = [json.loads(html.unescape(line)) for line in found]
    log = done.stderr.decode(errors="replace")
    if len(seen) != len(widths):
        raise AssertionError(f"the browser told of {len(seen)} of {len(widths)} widths: {log}")
    console = [line for line in log.splitlines() if "CONSOLE" in line]
    return Seen({one["width"]: one for one in seen}, console)
