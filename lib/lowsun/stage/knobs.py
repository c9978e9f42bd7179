"""The widget of each kind of control. A knob has `widget`, `value` and `watch(callback)`."""

import re
from functools import singledispatch

import ipywidgets

from lowsun.scenes.controls import Choice, Day, File, Number, Range, Switch, UserFile
from lowsun.words import figures, say
from lowsun.words.speech import in_figures

_SEEN_AT_ONCE = 5  # more choices than these lie along a slider
_WIDE = {"width": "auto"}
_LABELLED = {"description_width": "16rem"}

_POINT = re.compile(r"[+-]?\d+(\.\d*)?([eE][+-]?\d+)?|[+-]?\.\d+")
_COMMA = re.compile(r"[+-]?\d+,\d*|[+-]?,\d+")
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(,\d{3})+")


def typed(text):
    """The number that was typed, a point or a comma before its decimals; else the text itself.

    "1,000" stays text where the language has a point before decimals: it is a thousand to some
    readers and one to others.
    """
    words = text.strip().replace("\N{MINUS SIGN}", "-")
    of_the_language = in_figures(".") == ","
    if _COMMA.fullmatch(words) and (of_the_language or not _THOUSANDS.fullmatch(words)):
        words = words.replace(",", ".")
    return float(words) if _POINT.fullmatch(words) else text


class Knob:
    """A widget whose `value` is the control's value."""

    def __init__(self, widget):
        self.widget = widget

    @property
    def value(self):
        """What the player set; it may not fit the control."""
        return self.widget.value

    @value.setter
    def value(self, value):
        self.widget.value = value

    def watch(self, callback):
        """Call back, without arguments, after each change."""
        self.widget.observe(lambda change: callback(), names="value")


class NumberKnob(Knob):
    """A field for a number; what is typed is the control's to judge, never cut or pushed to an end.

    The browser's own number field drops a comma, so that "5,5" would be 55.
    """

    @property
    def value(self):
        """The number typed, or the text where it is none."""
        return typed(self.widget.value)

    @value.setter
    def value(self, value):
        self.widget.value = figures(value, ".12g")


class FileKnob:
    """A button that takes a file of the player's own, and one that lets it go."""

    def __init__(self, control):
        self._label = say(control.label)
        self._file = None
        self._callbacks = []
        endings = ", ".join(control.suffixes)
        self._chooser = ipywidgets.FileUpload(
            accept=",".join(control.suffixes), description=self._label, layout=_WIDE,
            tooltip=say("a file ending in {endings}", endings=endings),
        )  # fmt: skip
        self._remover = ipywidgets.Button(
            description=say("use no file"), tooltip=say("back to the scene's own"), layout=_WIDE
        )
        self._chooser.observe(self._chosen, names="value")
        self._remover.on_click(lambda button: self._let_go())
        self.widget = ipywidgets.HBox([self._chooser, self._remover])
        self._keep(None)

    @property
    def value(self):
        """The UserFile, or None."""
        return self._file

    @value.setter
    def value(self, file):
        self._chooser.value = ()
        self._keep(file)

    def watch(self, callback):
        """Call back, without arguments, after each change."""
        self._callbacks.append(callback)

    def _chosen(self, change):
        if change.new:
            upload = change.new[0]
            self._keep(UserFile(upload["name"], bytes(upload["content"])))

    def _let_go(self):
        self.value = None

    def _keep(self, file):
        self._file = file
        self._chooser.description = self._label if file is None else f"{self._label}: {file.name}"
        self._remover.disabled = file is None
        for callback in self._callbacks:
            callback()


@singledispatch
def knob(control):
    """The knob of a control."""
    raise TypeError(f"No widget is known for a {type(control).__name__}.")


@knob.register
def _(control: Number):
    limits = say("{low:g} to {high:g}", low=control.low, high=control.high)
    field = _widget(
        ipywidgets.Text,
        control,
        figures(control.default, ".12g"),
        continuous_update=False,
        placeholder=limits,
    )
    return NumberKnob(field)


@knob.register
def _(control: Range):
    return _knob(
        ipywidgets.FloatSlider, control, min=control.low, max=control.high, step=control.step,
        readout_format=f".{control.decimals}f",
        tooltip=say("{low:g} to {high:g}", low=control.low, high=control.high),
    )  # fmt: skip


@knob.register
def _(control: Choice):
    told = [(say(option), option) for option in control.options]
    if len(control.options) > _SEEN_AT_ONCE:
        return _knob(
            ipywidgets.SelectionSlider, control, options=told,
            tooltip=say("{first} to {last}", first=told[0][0], last=told[-1][0]),
        )  # fmt: skip
    return _knob(
        ipywidgets.RadioButtons, control, options=told, orientation="horizontal",
        tooltip=", ".join(words for words, _ in told),
    )  # fmt: skip


@knob.register
def _(control: Switch):
    return _knob(ipywidgets.Checkbox, control, indent=False, tooltip=say("on or off"))


@knob.register
def _(control: Day):
    """Without limits of its own: it would move a day outside them to the nearest, unsaid."""
    span = say("{first} to {last}", first=control.first, last=control.last)
    return _knob(ipywidgets.DatePicker, control, tooltip=span)


@knob.register
def _(control: File):
    return FileKnob(control)


def _knob(kind, control, **settings):
    return Knob(_widget(kind, control, **settings))


def _widget(kind, control, value=None, **settings):
    """Every widget has a tooltip: without one, ipywidgets shows the word null."""
    return kind(
        value=control.default if value is None else value, description=control.caption,
        layout=_WIDE, style=_LABELLED, **settings,
    )  # fmt: skip
