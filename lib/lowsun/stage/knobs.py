"""The widget of each kind of control. A knob has `widget`, `value` and `watch(callback)`."""

from functools import singledispatch

import ipywidgets

from lowsun.scenes.controls import Choice, Day, File, Number, Range, Switch, UserFile

_WIDE = {"width": "auto"}
_LABELLED = {"description_width": "13rem"}


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


class FileKnob:
    """A button that takes a file of the player's own, and one that lets it go."""

    def __init__(self, control):
        self._label = control.label
        self._file = None
        self._callbacks = []
        self._chooser = ipywidgets.FileUpload(
            accept=",".join(control.suffixes), description=self._label, layout=_WIDE
        )
        self._remover = ipywidgets.Button(description="use no file", disabled=True, layout=_WIDE)
        self._chooser.observe(self._chosen, names="value")
        self._remover.on_click(lambda button: self._take(None))
        self.widget = ipywidgets.HBox([self._chooser, self._remover])

    @property
    def value(self):
        """The UserFile, or None."""
        return self._file

    @value.setter
    def value(self, file):
        self._take(file)

    def watch(self, callback):
        """Call back, without arguments, after each change."""
        self._callbacks.append(callback)

    def _chosen(self, change):
        if change.new:  # empty when the chooser is made ready for the next file
            upload = change.new[0]
            self._take(UserFile(upload["name"], bytes(upload["content"])))

    def _take(self, file):
        self._file = file
        self._chooser.description = self._label if file is None else f"{self._label}: {file.name}"
        self._remover.disabled = file is None
        self._chooser.value = ()
        for callback in self._callbacks:
            callback()


@singledispatch
def knob(control):
    """The knob of a control."""
    raise TypeError(f"No widget is known for a {type(control).__name__}.")


@knob.register
def _(control: Number):
    return Knob(
        ipywidgets.FloatText(
            value=control.default, description=control.caption, layout=_WIDE, style=_LABELLED
        )
    )


@knob.register
def _(control: Range):
    slider = ipywidgets.FloatSlider(
        min=control.low, max=control.high, step=control.step, value=control.default,
        readout_format=f".{control.decimals}f", description=control.caption,
        layout=_WIDE, style=_LABELLED,
    )  # fmt: skip
    return Knob(slider)


@knob.register
def _(control: Choice):
    return Knob(
        ipywidgets.Dropdown(
            options=control.options, value=control.default, description=control.caption,
            layout=_WIDE, style=_LABELLED,
        )
    )  # fmt: skip


@knob.register
def _(control: Switch):
    return Knob(
        ipywidgets.Checkbox(
            value=control.default, description=control.caption, indent=False, layout=_WIDE
        )
    )


@knob.register
def _(control: Day):
    return Knob(
        ipywidgets.DatePicker(
            value=control.default, min=control.first, max=control.last,
            description=control.caption, layout=_WIDE, style=_LABELLED,
        )
    )  # fmt: skip


@knob.register
def _(control: File):
    return FileKnob(control)
