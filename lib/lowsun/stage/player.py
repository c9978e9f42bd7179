"""A scene made live: controls that redraw its picture while they move."""

import asyncio
import gc
import traceback
from contextlib import contextmanager
from functools import partial
from io import BytesIO
from time import perf_counter
from uuid import uuid4

import ipywidgets
import numpy as np
from IPython.display import display
from PIL import Image

from lowsun.drawing.look import DARK, Look, fineness, require_width
from lowsun.errors import LowsunError, require_kind
from lowsun.scenes import caution, named
from lowsun.scenes.controls import Range
from lowsun.scenes.scene import Scene
from lowsun.stage import keeping
from lowsun.stage.alone import alone
from lowsun.stage.canvas import Canvas
from lowsun.stage.clock import Clock
from lowsun.stage.knobs import knob, typed
from lowsun.stage.poster import poster
from lowsun.stage.presenting import Presenter
from lowsun.stage.screen import Screen
from lowsun.stage.steps import load
from lowsun.words import figures, say

IDLE_S = 0.25  # a control that has not moved for so long has come to rest
_LEAST_SIXTEENTHS = 20  # of the picture's width: below 320 px no word can be read
BIG_PX = 1920  # as wide as a picture is drawn in the big view
LONG_S = 0.3  # from here on a viewer is told what is being computed


def live(scene, *, look=DARK, width_px=1280):
    """Play a scene, or the scene of that name: the last line of a notebook cell shows it."""
    return Live(_scene(scene), *_shown(look, width_px))


def talk(path, *, look=DARK, width_px=1280):
    """Play a talk, a TOML file of scenes and cards: see `lowsun.stage.steps.load`."""
    shown = _shown(look, width_px)
    title, steps = load(path)
    first = next(step.scene for step in steps if step.scene is not None)
    return Live(first, *shown, title=title, steps=steps)


def _scene(scene):
    """A scene, or the one of that name."""
    scene = named(scene) if isinstance(scene, str) else scene
    return require_kind("scene", scene, Scene, "a scene or its name, such as 'rims'")


def _shown(look, width_px):
    """Look and width [px], checked."""
    require_kind("look", look, Look, "one of lowsun.drawing.look.LOOKS")
    return look, require_width(width_px)


class Live:
    """A scene being played.

    `state`, `sentence` and `error` (a sentence, empty when all is well) say where it stands; `set`
    moves controls from code; `settle` finishes what is still to be drawn; `play` takes another
    scene.
    """

    def __init__(self, scene, look, width_px, *, title=None, steps=None):
        self.scene = scene
        self.traceback = ""
        self._title = title
        self._look, self._width_px = look, width_px
        self._held = False
        self._red = False
        self._clock = Clock(self._tick)
        self._pending = None
        self._knobs = {}
        self._screen = self._new_screen()
        self._controls = ipywidgets.Box().add_class("lowsun-controls")
        self._always = self._new_buttons()
        self._buttons = _box("lowsun-buttons", self._always)
        self._widget = ipywidgets.VBox([self._screen, self._controls]).add_class("lowsun-stage")
        self.play(scene)
        self._presenter = Presenter(self, self._screen, steps)
        self._screen.on_msg(lambda screen, asked, buffers: self._presenter.do(**asked))

    # ---- what a notebook uses

    @property
    def state(self):
        """The values of all controls, as the player set them."""
        return {name: each.value for name, each in self._knobs.items()}

    @property
    def sentence(self):
        """What the last good picture says."""
        return self._screen.sentence

    @property
    def error(self):
        """Why the controls as they stand give no picture; empty when they do."""
        return self._screen.error

    @alone
    def set(self, **values):
        """Move controls; a value that does not fit is refused and moves nothing."""
        checked = self.scene.check(values)
        self._remember(None)
        with self._hold():
            for name in values:
                self._knobs[name].value = checked[name]
        self._show_whole()

    @alone
    def play(self, scene, state=None):
        """Play another scene in this one's place, from its defaults with `state` changed."""
        scene = _scene(scene)
        state = scene.check({} if state is None else state)
        self._wait(None)
        self._clock.run(False)
        self._red = False
        self.scene = scene
        self._canvas = self._shown = self._moving = None
        self._kept = self._before = state
        self._lasted_s = {}
        self._take_controls(scene, state)
        self._screen.caution = say(caution.SHORT)
        self._show()

    @alone
    def move(self, **values):
        """Move controls as a hand does: a draft where the scene has one, the whole at rest."""
        checked = self.scene.check(values)
        if not values:
            return
        with self._hold():
            for name in values:
                self._knobs[name].value = checked[name]
        self._moved(next(iter(values)))

    def bring_forward(self, names):
        """Show these controls alone in the big view: a list of names."""
        for name in require_kind("names", names, list | tuple, "a list of names of controls"):
            require_kind("one of names", name, str, "the name of a control")
        for name, each in self._knobs.items():
            (each.widget.add_class if name in names else each.widget.remove_class)("lowsun-main")

    def hold_still(self, name, still):
        """Keep a control from being moved by hand, or free it; one of another scene is let be."""
        require_kind("name", name, str, "the name of a control")
        require_kind("still", still, bool, "True or False")
        if name in self._knobs:
            self._knobs[name].widget.disabled = still

    def undo(self):
        """Take back the last move, whole, however many steps it took; once more, and it is back."""
        self.set(**self._before)

    @alone
    def follow(self, following=True):
        """Follow this computer's clock, redrawing each second, or stop following it."""
        self._clock.run(require_kind("following", following, bool, "True or False"))
        if not following:
            self._show_whole()

    @alone
    def in_red(self, red=True):
        """Show the picture in red on black, or in its colours again."""
        self._red = require_kind("red", red, bool, "True or False")
        self._show_whole()

    @alone
    def settle(self):
        """Finish at once what waits for the controls to come to rest."""
        if self._pending is not None:
            self._show_whole()

    def _repr_mimebundle_(self, include=None, exclude=None):
        bundle = self._widget._repr_mimebundle_(include=include, exclude=exclude)
        return bundle | {"text/plain": self._words()}

    def _ipython_display_(self):
        """A still, which a saved notebook keeps, and the stage, whose page hides it."""
        if self._screen.frame:
            words = self._words()
            display(poster(self._screen.frame, words, self._screen.poster), raw=True)
        display(self._repr_mimebundle_(), raw=True)

    def _words(self):
        return f"{self._title or say(self.scene.title)}: {self.error or self.sentence}"

    # ---- widgets, in a fixed order: picture, words, controls, those moved seldom, buttons

    def _new_screen(self):
        width, height = self._width_px, round(self._width_px * 9 / 16)
        screen = Screen(width_px=width, height_px=height, poster=uuid4().hex)
        screen.observe(lambda change: self._resize(change.new), names="shown_px")
        screen.observe(
            lambda change: self._typed(change.new["name"], change.new["text"]), names="typed"
        )
        return screen

    def _take_controls(self, scene, state):
        for each in self._knobs.values():
            each.widget.close()
        self._knobs = {control.name: knob(control) for control in scene.controls}
        for name, each in self._knobs.items():
            each.value = state[name]
            each.watch(partial(self._moved, name))
        often = [self._found(name) for name in self._knobs if name not in scene.seldom]
        seldom = [self._found(name) for name in scene.seldom]
        self._buttons.children = [*self._always, *self._by_night(scene)]
        self._controls.children = [*often, _box("lowsun-seldom", seldom), self._buttons]

    def _found(self, name):
        """The widget of a control, marked so that the page can find it by the control's name."""
        return self._knobs[name].widget.add_class(f"lowsun-at-{name}")

    def _new_buttons(self):
        marks = keeping.Marks()
        does = {
            say("back to start"): (say("every control to where the scene begins"), self._back),
            say("undo"): (say("take the last move back"), self.undo),
            say("save picture"): (say("as PNG and SVG beside this notebook"), partial(
                self._keep, lambda scene, state: keeping.picture(scene, state, self._look))),
            say("save state"): (say("as a file that replays anywhere"), partial(
                self._keep, keeping.state_file)),
            say("copy as code"): (say("the line that brings the scene to this state"), self._copy),
            say("mark here"): (say("add this state to a segment, for a film"), partial(
                self._keep, marks.add)),
        }  # fmt: skip
        return [_button(name, *how) for name, how in does.items()]

    def _back(self):
        self.set(**self.scene.defaults())

    @alone
    def _keep(self, keep):
        """Keep the state as it stands, and say what became of it."""
        try:
            self._screen.say(keep(self.scene, self._checked()))
        except LowsunError as refused:
            self._screen.say(str(refused))

    def _copy(self):
        self._keep(keeping.code)
        self._screen.copied += 1

    def _by_night(self, scene):
        """What a scene that can follow the clock offers besides: to follow it, and in red."""
        if scene.at is None:
            return []
        follow = ipywidgets.ToggleButton(
            description=say("follow the clock"),
            tooltip=say("what this computer's clock shows, each second"),
        )
        follow.observe(lambda change: self.follow(change.new), names="value")
        red = ipywidgets.ToggleButton(
            description=say("red on black"), tooltip=say("for eyes that are used to the dark")
        )
        red.observe(lambda change: self.in_red(change.new), names="value")
        return [follow, red]

    # ---- from a moved control to a picture

    @contextmanager
    def _hold(self):
        self._held = True
        try:
            yield
        finally:
            self._held = False

    @alone
    def _moved(self, name):
        if self._held or self._stands_as_shown():
            return
        self._remember(name)
        loop = _running_loop()
        drafted = self.scene.draft is not None or self._screen.big
        if drafted and loop is not None:
            self._show_told((name, "draft"), draft=True)
            self._wait(loop.call_later(IDLE_S, self._show_whole, name))
        else:
            self._show_whole(name)

    def _stands_as_shown(self):
        """Whether nothing has moved: a page sends back what it is told, and so may a burst."""
        return not self._screen.error and self._refused() is None and self._checked() == self._kept

    def _checked(self):
        return self.scene.check(self.state)

    def _remember(self, moving):
        """Keep the state before a move: a run of steps of one control is one move."""
        if moving is None or moving != self._moving:
            self._before = self._kept
        self._moving = moving

    @alone
    def _typed(self, name, text):
        """Take a slider's number as it was typed, or say why not: its own field would cut it."""
        try:
            self._knobs[name].value = self.scene.control(name).check(typed(text))
        except LowsunError as refused:
            self._tell(refused, name)

    def _wait(self, pending):
        if self._pending is not None:
            self._pending.cancel()
        self._pending = pending

    @alone
    def _tick(self, when):
        self._show()

    @alone
    def _show_whole(self, moved=None):
        """Show the state in full."""
        self._wait(None)
        self._show_told(moved)

    def _show_told(self, what, *, draft=False):
        """Show the state, telling the viewer where what was moved takes long, or may."""
        begins = perf_counter()
        if self._lasted_s.get(what, LONG_S) >= LONG_S:
            self._screen.doing = say(self.scene.doing)
        self._show(draft)
        self._screen.doing = ""
        self._lasted_s[what] = perf_counter() - begins

    def _show(self, draft=False):
        """Compute, describe, draw: whatever fails is told to the viewer and kept for the tests."""
        try:
            sentence, frame = self._play(draft)
        except Exception as refused:
            self._tell(refused, self._refused() or self._moving or "")
        else:
            self._present(sentence, frame)

    def _refused(self):
        """The name of the first control whose value does not fit, or None."""
        for name, each in self._knobs.items():
            try:
                self.scene.control(name).check(each.value)
            except LowsunError:
                return name
        return None

    def _play(self, draft):
        state = self._checked()
        self._kept = state
        if self._clock.running:
            result = self.scene.at(state, self._clock.read())
        else:
            result = self.scene.computed(state, fineness(self._width_px), draft=draft)
        sentence = self.scene.describe(result)
        frame = self._drawn(result, sentence, quick=draft and self._screen.big)
        self._shown = result, sentence
        return sentence, frame

    def _drawn(self, result, sentence, quick=False):
        if self._canvas is None:
            self._canvas = Canvas(self.scene, self._look, self._width_px)
        pixels = self._canvas.draw(result, sentence)
        return jpeg(in_red(pixels) if self._red else pixels, quick=quick)

    @alone
    def _resize(self, shown_px):
        """Draw no finer than the page shows: fewer pixels to encode, carry, decode and shrink."""
        sixteenths = -(-shown_px // 16)  # whole ones make whole rows at 16:9
        most_px = BIG_PX if self._screen.big else self._screen.width_px
        width_px = min(16 * max(sixteenths, _LEAST_SIXTEENTHS), most_px)
        if width_px != self._width_px:
            self._width_px, self._canvas = width_px, None
            gc.collect()  # a figure is full of cycles, and 7 MB large
            if self.scene.sized:
                self._show_whole()
            elif self._shown is not None:
                self._screen.frame = self._drawn(*self._shown)

    def _present(self, sentence, frame):
        self.traceback = ""
        with self._screen.hold_sync():
            self._screen.error = ""
            self._screen.readings = readings(self.scene, self._kept)
            self._screen.sentence = sentence
            self._screen.frame = frame

    def _tell(self, refused, name):
        """Say what was refused beside the control of that name."""
        self.traceback = "".join(traceback.format_exception(refused))
        with self._screen.hold_sync():
            self._screen.error_at = name
            self._screen.error = _words_for(refused)


def readings(scene, state):
    """The numbers of the sliders that stand between their steps, by the control's name."""
    between = {
        control.name: state[control.name]
        for control in scene.controls
        if isinstance(control, Range) and not control.on_step(state[control.name])
    }
    return {
        name: figures(value, ".10g").replace("-", "\N{MINUS SIGN}")
        for name, value in between.items()
    }


def _button(name, tooltip, does):
    button = ipywidgets.Button(description=name, tooltip=tooltip)
    button.on_click(lambda button: does())
    return button


def _box(name, widgets):
    return ipywidgets.Box(widgets).add_class(name)


def in_red(pixels):
    """Pixels (rows, columns, 4) as bright in red as they are in their brightest colour."""
    red = np.zeros_like(pixels)
    red[..., 0] = pixels[..., :3].max(axis=-1)
    return red


def jpeg(pixels, quick=False):
    """The bytes of a JPEG; full colour resolution, or thin lines and green rims would fringe.

    quick: half of it, which nobody sees while a large picture moves: it is written and read in two
    thirds of the time.
    """
    rows, columns, _ = pixels.shape
    file = BytesIO()
    image = Image.frombuffer("RGBX", (columns, rows), pixels, "raw", "RGBX", 0, 1)
    image.save(file, "jpeg", quality=88, subsampling="4:2:0" if quick else "4:4:4")
    return file.getvalue()


def _words_for(refused):
    if isinstance(refused, LowsunError):
        return str(refused)
    return say(
        "This scene failed ({kind}: {refused}). The picture is the last good one. Move"
        " a control, or go back to the start.",
        kind=type(refused).__name__,
        refused=refused,
    )


def _running_loop():
    try:
        return asyncio.get_running_loop()
    except RuntimeError:
        return None
