"""What the keys of the big view do: cues, the main control, saved states, a control that runs."""

import asyncio
from datetime import timedelta
from time import perf_counter

from lowsun.scenes.controls import Choice, Day, Range
from lowsun.stage.alone import alone
from lowsun.stage.steps import cues
from lowsun.words import say

FRAME_S = 0.04  # of a control that runs by itself
_RUN_S = (2.5, 5.0, 10.0, 20.0, 40.0, 80.0)  # from one end to the other
_MOVED = (Range, Choice, Day)


class Presenter:
    """Plays a list of steps on a stage, and moves its main control.

    `do` takes what the page asks: the name of a method without its underscore and a number.
    """

    def __init__(self, stage, screen, steps=None):
        self._stage, self._screen = stage, screen
        self._steps = steps or cues(stage.scene)
        self._at = 0
        self._states = {}
        self._main = 0
        self._run_s = _RUN_S[2]
        self._back_and_forth = False
        self._running = None
        self._asked = {
            "next": self._next, "step": self._step, "main": self._other, "keep": self._keep,
            "state": self._recall, "run": self._run, "pace": self._pace, "back": self._turn,
            "reset": self._reset,
        }  # fmt: skip
        self._go(0, begin=steps is not None)

    @alone
    def do(self, do, value=0):
        """Do what the page asks; what it does not know is left."""
        if do in self._asked:
            self._asked[do](value)

    # ---- steps

    def _next(self, by):
        """The step that many further; the first and the last are ends."""
        there = min(max(self._at + by, 0), len(self._steps) - 1)
        if there != self._at:
            leaves = self._steps[there].entry != self._steps[self._at].entry
            self._go(there, begin=leaves)

    def _go(self, there, begin):
        self._at = there
        step = self._steps[there]
        if begin and step.scene is not None:
            self._stop()
            self._main = 0
            self._stage.play(step.scene, step.state)
        self._stage.bring_forward(self._shown())
        self._screen.card = {"title": step.card, "text": step.text} if step.card else {}
        at = {"number": there + 1, "steps": len(self._steps)}
        self._screen.cue = say("{number} of {steps}: {cue}", cue=step.cue, **at) if step.cue else ""
        self._screen.next_cue = self._after(there)

    def _after(self, there):
        """What comes after a step: its line, its card or its scene."""
        if there + 1 >= len(self._steps):
            return say("the end")
        step = self._steps[there + 1]
        return step.cue or step.card or say(step.scene.title)

    # ---- the main control

    def _shown(self):
        """The controls named for the talk, else the first two that can be moved by keys."""
        named = self._steps[self._at].controls
        return named or tuple(self._movable()[:2])

    def _movable(self):
        named = [c.name for c in self._stage.scene.controls if isinstance(c, _MOVED)]
        chosen = [name for name in self._steps[self._at].controls if name in named]
        return chosen or named

    def _control(self):
        movable = self._movable()
        return self._stage.scene.control(movable[self._main % len(movable)])

    def _other(self, by):
        self._main += by
        self._screen.say(say("The arrows move: {control}.", control=self._control().caption))

    def _step(self, steps):
        control = self._control()
        self._stage.move(**{control.name: further(control, self._value(control), steps)})

    def _value(self, control):
        return self._stage.scene.check(self._stage.state)[control.name]

    # ---- states

    def _keep(self, _):
        number = len(self._states) % 9 + 1
        self._states[number] = self._stage.scene, self._stage.state
        self._screen.say(say("Kept under {number}.", number=number))

    def _recall(self, number):
        if number not in self._states:
            self._screen.say(say("No state is kept under {number}: s keeps one.", number=number))
            return
        scene, state = self._states[number]
        self._stop()
        if scene is self._stage.scene:
            self._stage.set(**state)
        else:
            self._stage.play(scene, state)
            self._stage.bring_forward(self._shown())

    def _reset(self, _):
        self._stop()
        step = self._steps[self._at]
        self._stage.set(**self._stage.scene.check(step.state))

    # ---- running by itself

    def _run(self, _):
        if self._running is not None:
            self._stop()
        elif isinstance(self._control(), Range):
            self._running = asyncio.get_running_loop().create_task(self._playing(self._control()))
        else:
            self._screen.say(say("Only a slider runs by itself: m takes another control."))

    def _stop(self):
        if self._running is not None:
            self._running.cancel()
            self._running = None

    def _pace(self, by):
        at = _RUN_S.index(self._run_s) + by
        self._run_s = _RUN_S[min(max(at, 0), len(_RUN_S) - 1)]
        self._screen.say(say("From end to end in {seconds:g} s.", seconds=self._run_s))

    def _turn(self, _):
        self._back_and_forth = not self._back_and_forth
        self._screen.say(
            say("Back and forth.") if self._back_and_forth else say("Once, to the end.")
        )

    async def _playing(self, control):
        """Move the control evenly to its upper end; again from the lower one if it stands there."""
        share = (self._value(control) - control.low) / (control.high - control.low)
        share, way = (0.0 if share >= 1 else share), 1
        seen = perf_counter()
        while 0 <= share <= 1:
            value = control.between(control.low, control.high, share)
            self._stage.move(**{control.name: round(value, control.decimals + 1)})
            await asyncio.sleep(max(0.005, FRAME_S - (perf_counter() - seen)))
            seen, passed = perf_counter(), perf_counter() - seen
            share += way * passed / self._run_s
            if self._back_and_forth and not 0 <= share <= 1:
                share, way = min(max(share, 0.0), 1.0), -way
        self._stage.move(**{control.name: control.high})
        self._running = None


def further(control, value, steps):
    """The value that many steps further, no further than the end."""
    if isinstance(control, Choice):
        at = control.options.index(value) + steps
        return control.options[min(max(at, 0), len(control.options) - 1)]
    if isinstance(control, Day):
        return min(max(value + timedelta(days=steps), control.first), control.last)
    there = control.low + control.step * (round((value - control.low) / control.step) + steps)
    return round(min(max(there, control.low), control.high), control.decimals + 2)
