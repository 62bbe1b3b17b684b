#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""HTML reports in a browser, as wide as a telephone, a tablet and a desk's screen, light and dark: nothing
wider than the screen, no text of a picture upon another or outside it, none smaller than 12 px, and words,
lines and surfaces that stand out. All are frames of one page, so that the browser starts once a colour."""
import html
import json
import pathlib
import re
import shutil
import subprocess
import tempfile

import tap

LONG = "The bench router at the far end of the boat shed, behind the rack for the eights, lent out"
CASES = {  # name, rounds, readings
    "short": ("Tern", 1, 4),
    "many": ("Tern", 30, 8),
    "full": ("Tern", 3, 64),
    "long": (LONG, 3, 8),
    "word": ("W" * 80, 1, 4),
    "hebrew": ("כרסומת השולחן של מועדון החתירה", 3, 4),
    "chinese": ("划艇俱乐部船棚里的台式雕刻机，靠近八人艇架子的那一台", 3, 4),
}
LOOK = """<script>
addEventListener('load', () => {
  const found = [], apart = (a, b) => a.right <= b.left + 0.5 || b.right <= a.left + 0.5 ||
    a.bottom <= b.top + 0.5 || b.bottom <= a.top + 0.5;
  const inked = text => {  // a line's box is taller than its letters
    const box = text.getBoundingClientRect(), cut = box.height / 4;
    return {left: box.left, right: box.right, top: box.top + cut, bottom: box.bottom - cut};
  };
  const screen = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth > screen) {
    found.push(`the page is ${document.documentElement.scrollWidth} wide`);
    for (const part of document.querySelectorAll('body *'))
      if (part.getBoundingClientRect().right > screen + 1 && !part.closest('svg, .wide table'))
        found.push(`${part.tagName} reaches ${part.getBoundingClientRect().right}`);
  }
  for (const svg of document.querySelectorAll('svg')) {
    const sheet = svg.getBoundingClientRect();
    const texts = [...svg.querySelectorAll('text')].map(t => [t.textContent, inked(t)]);
    texts.forEach(([text, box], i) => {
      if (box.left < sheet.left - 1 || box.right > sheet.right + 1 || box.top < sheet.top - 1 ||
          box.bottom > sheet.bottom + 1)
        found.push(`'${text}' leaves its picture`);
      for (const [other, its] of texts.slice(i + 1))
        if (!apart(box, its)) found.push(`'${text}' is upon '${other}'`);
    });
  }
  for (const part of document.querySelectorAll('h1,h2,h3,p,li,dd,td,th,figcaption'))
    if (part.scrollWidth > part.clientWidth + 1 && part.clientWidth > 0)
      found.push(`'${part.textContent.slice(0, 40)}' is cut`);
  const style = getComputedStyle(document.documentElement), inks = {};
  let least = 99;  // px, of a picture's letters
  for (const text of document.querySelectorAll('svg text'))
    least = Math.min(least, parseFloat(text.getAttribute('font-size')) * text.getScreenCTM().a);
  for (const ink of ['text', 'soft', 'over', 'within']) {  // what is only to read by, or has an outline, aside
    const line = document.querySelector(`svg .s-${ink}`), area = document.querySelector(`svg .f-${ink}`);
    if (line) inks[ink + ' line'] = getComputedStyle(line).stroke;
    if (area) inks[ink + ' area'] = getComputedStyle(area).fill;
  }
  parent.look[window.name] = {found, width: innerWidth, ink: style.color, paper: style.backgroundColor, least,
    inks, pictures: document.querySelectorAll('svg').length,
    text: getComputedStyle(document.querySelector('svg text')).fill};
  parent.document.documentElement.setAttribute('data-look', JSON.stringify(parent.look));
});
</script>"""


def job(rounds, readings):
    lines = ["perpend: 1", "sweeps:"]
    for turn in range(rounds):
        cells = ", ".join(
            f"{{at: {360 * i / readings:.4f}, reading: "
            f"{round((0.5 + 0.5 * abs(1 - 2 * i / readings) * 0.7 ** turn) / 0.05) * 0.05:.2f}}}"
            for i in range(readings))
        lines += [f"  - name: turn {turn + 1}", f"    readings: [{cells}]"]
        if turn + 1 < rounds:
            lines.append("    did: plan")
    return "\n".join(lines) + "\n"


def machine(name):
    text = pathlib.Path(tap.TERN).read_text(encoding="utf-8")
    return re.sub(r"(machine|joint): (Tern|clamp plate)",
                  lambda m: f"{m[1]}: {json.dumps(name, ensure_ascii=False)}", text)


def luminance(colour):
    parts = [int(n) / 255 for n in re.findall(r"\d+", colour)[:3]]
    return sum(w * (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4)
               for w, c in zip((0.2126, 0.7152, 0.0722), parts))


def contrast(one, other):
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def look(pages, dark, folder):
    """What the script in each page saw, in a frame as wide as the screen is to be (a window of the browser's
    own has a least width); by name."""
    frame = folder / "frame.html"
    frame.write_text('<!DOCTYPE html><meta charset="utf-8"><script>look = {}</script>' + "".join(
        f'<iframe name="{name}" style="border:0" width="{width}" height="900" '
        f'srcdoc="{html.escape(path.read_text(encoding="utf-8"))}"></iframe>'
        for name, (path, width) in pages.items()), encoding="utf-8")
    words = ["chromium", "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--hide-scrollbars",
             "--disable-background-networking", "--disable-component-update", "--disable-sync",
             f"--user-data-dir={folder}/profile", "--window-size=1400,1000",
             f"--blink-settings=preferredColorScheme={0 if dark else 1}", "--dump-dom",
             frame.as_uri()]
    done = subprocess.run(words, capture_output=True, check=False, timeout=90)
    seen = re.search(r'data-look="([^"]*)"', done.stdout.decode("utf-8", "replace"))
    return json.loads(html.unescape(seen.group(1))) if seen else {}


def judge(t, where, seen, width, dark):
    if not t.ok(seen is not None, f"{where}: opens"):
        return
    t.ok(seen["found"] == [], f"{where}: nothing overlaps, nothing is cut", "\n".join(seen["found"][:12]))
    t.ok(seen["pictures"] >= 3, f"{where}: the pictures are there", seen)
    t.equal(luminance(seen["paper"]) < 0.2, dark, f"{where}: the ground is as asked")
    t.ok(contrast(seen["ink"], seen["paper"]) > 7 and contrast(seen["text"], seen["paper"]) > 4.5,
         f"{where}: words can be read", seen)
    faint = {ink: colour for ink, colour in seen["inks"].items() if contrast(colour, seen["paper"]) < 3}
    t.ok(len(seen["inks"]) >= 4 and not faint, f"{where}: lines and surfaces stand out", faint)
    t.ok(11.9 <= seen["least"] < 99, f"{where}: no letters under 12 px", seen["least"])
    t.equal(seen["width"], width, f"{where}: as wide as asked")


def main():
    t = tap.Tap()
    if not shutil.which("chromium"):
        t.skip("reports in a browser", "no chromium")
        t.done()
    folder = pathlib.Path(tempfile.mkdtemp(prefix="perpend-screen-"))
    for name, (title, rounds, readings) in CASES.items():
        (folder / "m.yaml").write_text(machine(title), encoding="utf-8")
        (folder / "j.yaml").write_text(job(rounds, readings))
        page = folder / f"{name}.html"
        run = tap.perpend("report", "--from", str(folder / "m.yaml"), str(folder / "j.yaml"),
                          "--output", str(page), "--who", title, "--note", title)
        if not t.ok(run.status == 0, f"{name}: made", run.err):
            continue
        text = page.read_text(encoding="utf-8")
        page.write_text(text.replace("</body>", LOOK + "</body>"), encoding="utf-8")
    spoilt = folder / "spoilt.html"
    spoilt.write_text((folder / "short.html").read_text(encoding="utf-8")
                      .replace("<main>", "<main><p style='width:900px'>x</p><p style='width:9rem;"
                               "overflow:hidden;white-space:nowrap'>far too long to be seen</p>"),
                      encoding="utf-8")
    pages = {"spoilt": (spoilt, 390)}
    for name in CASES:
        for width in (360, 768, 1280):
            pages[f"{name}, {width} px"] = (folder / f"{name}.html", width)
    for dark in (False, True):
        seen = look(pages, dark, folder)
        for name, (_, width) in pages.items():
            if name == "spoilt":
                t.ok(len(seen.get(name, {"found": []})["found"]) >= 2, "a page that is spoilt would be noticed")
            else:
                judge(t, f"{name}, {'dark' if dark else 'light'}", seen.get(name), width, dark)
    tap.remove(folder)
    t.done()


main()
