"""JupyterLab in a real browser, driven by keyboard."""

import os
import re
import secrets
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from contextlib import contextmanager
from pathlib import Path

import pytest

import lowsun

PAGES = Path(lowsun.__file__).parent / "stage" / "pages"
CHROMIUM = os.environ.get("CHROMIUM", "/usr/bin/chromium")
QUIET = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip
NO_NEWS = '{"fetchNews": "false", "checkForUpdates": false, "doNotDisturbMode": true}'
TOY = (
    f"import sys; sys.path.insert(0, {str(Path(__file__).parent)!r})",
    "import dataclasses, toy_scene; from lowsun import stage",
)  # what a notebook begins with to play the toy scene
FIRST_RUN_S = 120.0  # a cold kernel on a busy machine
MOVE_S = 30.0
VIEWPORT = {"width": 1280, "height": 720}
MOST_CELLS = 4  # of a notebook that stays open


def require_chromium():
    """Skip, saying why, or fail where LOWSUN_BROWSER=required forbids skipping."""
    if not Path(CHROMIUM).exists():
        _go_without(f"there is no Chromium at {CHROMIUM}; set CHROMIUM to its path")


def _go_without(reason):
    if os.environ.get("LOWSUN_BROWSER") == "required":
        pytest.fail(reason)
    pytest.skip(reason)


def barriers(page, selector):
    """What axe-core finds wrong in what matches on a page, as lines: the rule, where, and why.

    axe-core (Deque Systems, MPL 2.0) comes with axe-playwright-python and asks nobody.
    """
    try:
        from axe_playwright_python.sync_playwright import Axe
    except ImportError:
        _go_without("axe-core is not here: pip install axe-playwright-python")
    found = Axe().run(page, context=selector).response
    assert len(found["passes"]) > 5  # or it looked at nothing
    return [
        f"{rule['id']} ({rule['impact']}): {node['target']} {node['failureSummary']}"
        for rule in found["violations"]
        for node in rule["nodes"]
    ]


class Server:
    """A JupyterLab server on a folder of its own, with settings of its own."""

    def __init__(self, home):
        self.home = home
        self.notebooks = home / "notebooks"
        self.notebooks.mkdir()
        self._token = secrets.token_hex(8)
        self._port = free_port()
        self._log = (home / "server.log").open("wb")
        _write_settings(home)
        self._process = subprocess.Popen(
            self._command(), env=self._environment(), stdout=self._log, stderr=self._log
        )
        self._wait_until_up()

    def url(self, notebook):
        """The address of a notebook alone on the page."""
        return f"http://127.0.0.1:{self._port}/doc/tree/{notebook}?token={self._token}"

    def stop(self):
        """End the server and the kernels it started."""
        self._process.terminate()
        self._process.wait(timeout=20)
        self._log.close()

    def _command(self):
        return [
            sys.executable, "-m", "jupyterlab", "--no-browser", "--allow-root",
            f"--ServerApp.port={self._port}", "--ServerApp.port_retries=0",
            f"--IdentityProvider.token={self._token}", f"--ServerApp.root_dir={self.notebooks}",
            "--LabApp.expose_app_in_browser=True",
            f"--LabApp.user_settings_dir={self.home / 'settings'}",
            f"--LabApp.workspaces_dir={self.home / 'workspaces'}",
        ]  # fmt: skip

    def _environment(self):
        own = {name: str(self.home / name) for name in ("JUPYTER_CONFIG_DIR", "IPYTHONDIR")}
        return os.environ | own

    def _wait_until_up(self):
        request = f"http://127.0.0.1:{self._port}/api/status?token={self._token}"
        for _ in range(300):
            try:
                urllib.request.urlopen(request, timeout=1)
                return
            except (urllib.error.URLError, OSError):
                time.sleep(0.2)
        self.stop()
        raise RuntimeError((self.home / "server.log").read_text()[-2000:])


@contextmanager
def served(source, folder):
    """The address of a notebook (a path, or its cells or their code) as a page without code."""
    pytest.importorskip("voila", reason="voila is not here: pip install ./lib[pages]")
    name = _put(folder, source, "page.ipynb")
    port = free_port()
    asked = ["--no-browser", "--template=lowsun", f"--port={port}", name]
    with open(folder / "log", "wb") as log:
        running = subprocess.Popen(
            [sys.executable, "-m", "voila", *asked], cwd=folder, stdout=log, stderr=log,
            env=os.environ | {"JUPYTER_PATH": str(PAGES)},
        )  # fmt: skip
    try:
        _wait_for(f"http://127.0.0.1:{port}/voila/static/require.min.js")
        yield f"http://127.0.0.1:{port}/"
    finally:
        running.terminate()
        running.wait(timeout=20)


def _wait_for(address):
    for _ in range(300):
        try:
            urllib.request.urlopen(address, timeout=1)
            return
        except OSError:
            time.sleep(0.2)
    raise RuntimeError(f"{address} does not answer")


def free_port():
    """A port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def _write_settings(home):
    folder = home / "settings" / "@jupyterlab" / "apputils-extension"
    folder.mkdir(parents=True)
    (folder / "notification.jupyterlab-settings").write_text(NO_NEWS)


class Notebook:
    """One notebook open in the browser."""

    def __init__(self, page, url):
        self.page = page
        self.troubles = []
        page.on("pageerror", lambda error: self.troubles.append(str(error)))
        page.on("console", self._listen)
        page.goto(url)
        page.wait_for_selector(".jp-Notebook .jp-Cell", timeout=FIRST_RUN_S * 1000)
        page.wait_for_function(f"{_KERNEL} && {_KERNEL}.status === 'idle'", timeout=60_000)

    def _listen(self, message):
        if message.type == "error":
            self.troubles.append(f"{message.text} ({message.location.get('url')})")

    def play(self, *codes):
        """Have the cells hold these codes, as if the page had just been opened, and run them."""
        self.troubles.clear()
        self.page.set_viewport_size(VIEWPORT)
        self.page.evaluate("window.jupyterapp.commands.execute('notebook:clear-all-cell-outputs')")
        self.page.evaluate(_HOLD, [*codes])
        self.run()

    def run(self):
        """Run every cell and wait until the kernel rests."""
        self.page.evaluate(_COUNT_UNANSWERED)
        self.page.evaluate("window.jupyterapp.commands.execute('notebook:run-all-cells')")
        self.page.wait_for_function(_ALL_CELLS_RAN, timeout=FIRST_RUN_S * 1000)
        self.rest()

    def rest(self, quiet_ms=200):
        """Wait until the kernel has been idle, and every picture still, for a while."""
        self.page.evaluate("window.lowsunSeen = null")
        self.page.wait_for_function(_AT_REST, arg=quiet_ms, polling=25, timeout=MOVE_S * 1000)

    def answer(self):
        """Go through the questions and guess at the last: every control is free then."""
        for asked in _each(self.page, ".lowsun-guess"):
            further = asked.get_by_role("button", name="next", exact=True)
            while further.is_enabled():
                self._press(further)
            field = asked.locator("input, select")
            if field.evaluate("field => field.tagName") == "SELECT":
                field.select_option(index=1)
            else:
                field.fill("1")
            self._press(asked.get_by_role("button", name="check", exact=True))
            answered = asked.locator("[role=status]", has_text=re.compile("^(?!Computing).+"))
            answered.wait_for(timeout=MOVE_S * 1000)

    def _press(self, button):
        button.press("Enter")
        self.rest()

    def close(self):
        """Close the page and end its kernel."""
        self.page.evaluate("window.jupyterapp.commands.execute('notebook:shutdown-kernel')")
        self.page.close(run_before_unload=False)

    @property
    def cells(self):
        """Kind, source, sight and fold of every cell: what a stray key would change."""
        return self.page.evaluate(_CELLS)

    @property
    def cell_errors(self):
        """The text of every error output."""
        return self.page.locator(
            '[data-mime-type="application/vnd.jupyter.error"]'
        ).all_inner_texts()

    @property
    def stages(self):
        """The live scenes on the page, scrolled into view one after the other."""
        count = self.page.locator(".lowsun-stage").count()
        return [Stage(self, self.page.locator(".lowsun-stage").nth(i)) for i in range(count)]


class Stage:
    """One live scene in the browser."""

    def __init__(self, notebook, root):
        self.notebook = notebook
        self.root = root
        self.image = root.locator("img.lowsun-picture")

    @property
    def alert(self):
        """The words of the alert; empty when none is shown."""
        alert = self.root.locator("[role=alert]")
        return alert.inner_text() if alert.is_visible() else ""

    @property
    def sentence(self):
        """The alternative text of the picture."""
        return self.image.get_attribute("alt")

    @property
    def picture_in_sight(self):
        """Whether all of the picture, but for a hair, is on the screen."""
        return self.image.evaluate(_SHARE_IN_SIGHT) > 0.98

    def picture(self):
        """A fingerprint of the JPEG on the screen."""
        return self.image.evaluate(_FINGERPRINT)

    def press(self, element, key):
        """Focus an element, press a key and wait for rest."""
        element.focus()
        element.press(key)
        self.notebook.rest()

    def back_to_start(self):
        """Press the button that sets every control back."""
        self.press(self.root.get_by_role("button", name="back to start"), "Enter")

    def unfold(self):
        """Show the controls that are folded away."""
        for more in _each(self.root, "button.lowsun-more[aria-expanded=false]"):
            more.press("Enter")

    def moves(self):
        """Yield (control, move): its name, and what puts it at one of its ends."""
        yield from self._slider_moves()
        yield from self._choice_moves()
        yield from self._switch_moves()
        yield from self._typed_moves()

    def _slider_moves(self):
        for handle in _each(self.root, ".noUi-handle"):
            name = handle.get_attribute("aria-label")
            for key in ("Home", "End"):
                yield name, lambda handle=handle, key=key: self.press(handle, key)

    def _choice_moves(self):
        for radio in _each(self.root, "input[type=radio]"):
            name = radio.evaluate(_NAME)
            yield name, lambda radio=radio: self.press(radio, "Space")

    def _switch_moves(self):
        for box in _each(self.root, "input[type=checkbox]"):
            name = box.evaluate(_NAME)
            for _ in range(2):
                yield name, lambda box=box: self.press(box, "Space")

    def _typed_moves(self):
        for box in _each(self.root, ".lowsun-controls :is(input[type=text], input[type=date])"):
            name = box.evaluate(_NAME)
            for limit in box.evaluate(_LIMITS).split(" to "):
                yield name, lambda box=box, limit=limit: self._type(box, limit)

    def _type(self, box, text):
        box.fill(text)
        box.press("Enter")
        box.blur()
        self.notebook.rest()


def _each(root, selector):
    """All that match on a page or under an element, one after the other."""
    found = root.locator(selector)
    return [found.nth(i) for i in range(found.count())]


_CELLS = """() => {
  const panel = window.jupyterapp.shell.currentWidget.content;
  return panel.widgets.map((cell) => [
    cell.model.type, cell.model.sharedModel.getSource(), cell.isVisible, !!cell.headingCollapsed,
  ]);
}"""
_HOLD = """(codes) => {
  const cells = window.jupyterapp.shell.currentWidget.content.model.cells;
  for (let i = 0; i < cells.length; i++) cells.get(i).sharedModel.setSource(codes[i] ?? '');
}"""
_KERNEL = "window.jupyterapp?.shell.currentWidget?.context?.sessionContext?.session?.kernel"
_ALL_CELLS_RAN = """() => {
  const cells = window.jupyterapp.shell.currentWidget.content.model.cells;
  for (let i = 0; i < cells.length; i++) {
    const cell = cells.get(i);
    if (cell.type !== 'code' || cell.sharedModel.getSource().trim() === '') continue;
    if (cell.executionCount === null) return false;
  }
  return true;
}"""
# Some messages are answered in threads of their own, so the kernel's status is that of any of them.
_COUNT_UNANSWERED = """() => {
  const kernel = window.jupyterapp.shell.currentWidget.context.sessionContext.session.kernel;
  window.lowsunUnanswered = new Set();
  kernel.anyMessage.connect((_, { direction, msg }) => {
    if (direction === 'send' && msg.channel === 'shell')
      window.lowsunUnanswered.add(msg.header.msg_id);
    if (msg.header.msg_type === 'status' && msg.content.execution_state === 'idle')
      window.lowsunUnanswered.delete(msg.parent_header.msg_id);
  });
}"""
_AT_REST = """(quiet) => {
  const kernel = window.jupyterapp.shell.currentWidget.context.sessionContext.session.kernel;
  const pictures = [...document.querySelectorAll('img.lowsun-picture')];
  const seen = pictures.map((image) => image.src).join() + kernel.status;
  const answered = !window.lowsunUnanswered?.size;
  const still = answered && kernel.status === 'idle' && pictures.every((image) => image.complete);
  const now = performance.now();
  if (seen !== window.lowsunSeen || !still) {
    window.lowsunSeen = seen;
    window.lowsunSince = now;
  }
  return now - window.lowsunSince >= quiet;
}"""
_NAME = "box => box.closest('.widget-inline-hbox, .widget-radio').innerText.trim().split('\\n')[0]"
_LIMITS = """(box) => {
  const control = box.closest('[class*=lowsun-at-]');
  const titled = [control, ...control.querySelectorAll('[title]')];
  const told = [box.placeholder, ...titled.map((each) => each.title)];
  return told.find((words) => words.includes(' to '));
}"""
_SHARE_IN_SIGHT = """(image) => new Promise((tell) => {
  const watcher = new IntersectionObserver(([seen]) => {
    watcher.disconnect();
    tell(seen.intersectionRatio);
  });
  watcher.observe(image);
})"""
_FINGERPRINT = """async (image) => {
  const bytes = await (await fetch(image.src)).arrayBuffer();
  return [...new Uint8Array(await crypto.subtle.digest('SHA-256', bytes))].join(' ');
}"""


@pytest.fixture(scope="session")
def server(tmp_path_factory):
    """One Lab server for all tests of a process."""
    require_chromium()
    running = Server(tmp_path_factory.mktemp("lab"))
    yield running
    running.stop()


@pytest.fixture(scope="module")
def browser(tmp_path_factory):
    """One Chromium for the tests of a file: Playwright keeps an event loop while it is open."""
    require_chromium()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        context = play.chromium.launch_persistent_context(
            str(tmp_path_factory.mktemp("chromium")), executable_path=CHROMIUM, args=list(QUIET),
            headless=True, viewport=VIEWPORT,
        )  # fmt: skip
        yield context
        context.close()


@pytest.fixture
def open_notebook(server, browser):
    """Open a copy of a notebook (a path, or its cells or their code) and close it afterwards."""
    opened = []

    def open_copy(source, name=None):
        name = _put(server.notebooks, source, name)
        opened.append(Notebook(browser.new_page(), server.url(name)))
        return opened[-1]

    yield open_copy
    for notebook in opened:
        notebook.close()


@pytest.fixture(scope="module")
def playground(server, browser):
    """A notebook that stays open: a file's tests `play` in one page and one kernel, not in many."""
    name = _put(server.notebooks, [""] * MOST_CELLS, "playground.ipynb")
    notebook = Notebook(browser.new_page(), server.url(name))
    yield notebook
    notebook.close()


def _put(folder, source, name):
    """Put a notebook into a folder, under its own name where it has one."""
    if isinstance(source, Path):
        shutil.copy(source, folder / source.name)
        return source.name
    import nbformat

    cells = [nbformat.v4.new_code_cell(each) if isinstance(each, str) else each for each in source]
    spec = {"name": "python3", "display_name": "Python 3", "language": "python"}
    book = nbformat.v4.new_notebook(cells=cells, metadata={"kernelspec": spec})
    nbformat.write(book, folder / name)
    return name
