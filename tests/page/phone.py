# SPDX-License-Identifier: GPL-3.0-or-later
"""A telephone for the tests: Debian's chromium with touch, 360 by 740, the network off, a page from
file://. What is done is done by touch, at the middle of what is shown."""
import json
import pathlib
import time

from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.by import By


class Phone:
    def __init__(self, page, folder, width=360, height=740, dark=False, touch=True, scale=1, letters=16):
        self.folder = pathlib.Path(folder)
        self.folder.mkdir(parents=True, exist_ok=True)
        options = Options()
        for word in ("--headless=new", "--no-sandbox", "--disable-gpu", "--allow-file-access-from-files=false",
                     f"--user-data-dir={self.folder}/profile", "--hide-scrollbars"):
            options.add_argument(word)
        options.add_experimental_option("prefs", {"download.default_directory": str(self.folder), "download.prompt_for_download": False, "webkit.webprefs.default_font_size": letters})
        options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
        self.driver = webdriver.Chrome(options=options, service=Service("/usr/bin/chromedriver"))
        self.url = page if "://" in str(page) else pathlib.Path(page).resolve().as_uri()
        self.do("Page.setDownloadBehavior", behavior="allow", downloadPath=str(self.folder))
        self.do("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=scale, mobile=touch)
        self.do("Emulation.setTouchEmulationEnabled", enabled=touch)
        self.do("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": "dark" if dark else "light"},
                                                        {"name": "prefers-reduced-motion", "value": "reduce"}])
        if self.url.startswith("file:"):
            self.do("Network.enable")
            self.do("Network.emulateNetworkConditions", offline=True, latency=0, downloadThroughput=0, uploadThroughput=0)
        self.open()

    def do(self, command, **words):
        return self.driver.execute_cdp_cmd(command, words)

    def open(self, where=""):
        self.driver.get("about:blank")  # else the same page, at another place
        self.driver.get(self.url + (where if where.startswith("#") else ""))
        self.wait("return document.documentElement.dataset.ready === 'yes'")

    def run(self, script, *words):
        return self.driver.execute_script(script, *words)

    def wait(self, script, *words, most=10):
        end = time.monotonic() + most
        while not self.run(script, *words):
            if time.monotonic() > end:
                raise AssertionError(f"not within {most} s: {script} {words}\n{self.text()[:1500]}\n{self.complaints()}")
            time.sleep(0.02)

    def find(self, what):
        """By CSS, or by the text that a button, a link or a label shows."""
        shown = """const [what] = arguments;
            const all = what.startsWith('css:') ? document.querySelectorAll(what.slice(4))
              : [...document.querySelectorAll('button, a, summary, label')].filter((one) =>
                  one.innerText.trim().split('\\n')[0] === what || one.innerText.trim() === what || one.getAttribute('aria-label') === what);
            return [...all].find((one) => one.checkVisibility()) ?? null;"""
        end = time.monotonic() + 5
        while (found := self.run(shown, what)) is None:
            if time.monotonic() > end:
                raise AssertionError(f"nothing shows {what!r}:\n{self.text()[:2500]}\n{self.complaints()}")
            time.sleep(0.02)
        return found

    def tap(self, what):
        element = self.find(what)
        self.run("arguments[0].scrollIntoView({block: 'center'})", element)
        box = self.run("const b = arguments[0].getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2]", element)
        for kind, points in (("touchStart", [{"x": box[0], "y": box[1]}]), ("touchEnd", [])):
            self.do("Input.dispatchTouchEvent", type=kind, touchPoints=points)

    def type(self, what, text):
        element = self.find(what)
        self.run("arguments[0].select(); arguments[0].value = ''", element)
        element.send_keys(text)

    def keys(self, number):
        for one in number:
            self.tap("point or comma" if one in ".," else "plus or minus" if one == "-" else one)

    def read(self, number):
        self.keys(number)
        self.tap("keep the reading")

    def text(self):
        return self.run("return document.body.innerText")

    def shows(self, text):
        self.wait("return document.body.innerText.includes(arguments[0])", text)

    def shot(self, name):
        height = self.run("return document.documentElement.scrollHeight")
        data = self.do("Page.captureScreenshot", captureBeyondViewport=True, format="png",
                       clip={"x": 0, "y": 0, "width": self.run("return innerWidth"), "height": min(height, 6000), "scale": 1})
        import base64
        (self.folder / f"{name}.png").write_bytes(base64.b64decode(data["data"]))

    def complaints(self):
        return [line["message"] for line in self.driver.get_log("browser")]

    def things(self):
        """What the page keeps, by kind."""
        return json.loads(
            self.driver.execute_async_script("""const done = arguments[0]; const open = indexedDB.open('perpend');
                open.onsuccess = () => { const all = open.result.transaction('things').objectStore('things').getAll();
                all.onsuccess = () => { open.result.close(); done(JSON.stringify(all.result)); }; };"""))

    def close(self):
        self.driver.quit()
