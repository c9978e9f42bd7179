"""The plan as a calendar file with alarms (RFC 5545).

Instants are UTC with the local time in the summary: generated time-zone blocks call Irish winter
daylight time, and calendars then show it an hour off.
"""

from datetime import UTC, datetime, timedelta

from icalendar import Alarm, Calendar, Event

from lowsun import words
from lowsun.fieldwork.plan import timeline as steps
from lowsun.scenes import caution, plan_words
from lowsun.words import say

ALARM_BEFORE = {  # what has time to be acted on
    steps.SET_UP: timedelta(minutes=30),
    steps.FIRST_CONTACT: timedelta(minutes=5),
    steps.WINDOW_OPENS: timedelta(minutes=2),
    steps.LAST_SLIVER: timedelta(minutes=1),
    steps.ARCH_BEST: timedelta(minutes=1),
    steps.LOWEST: timedelta(minutes=5),
}


def calendar(plan, stamp=None):
    """The bytes of the calendar: an event for each step, from early to late.

    stamp: the aware instant at which the file is made, by default now.
    """
    made = (stamp or datetime.now(UTC)).astimezone(UTC).replace(microsecond=0)
    book = Calendar()
    book.add("prodid", "-//lowsun//evening plan//EN")
    book.add("version", "2.0")
    book.add("method", "PUBLISH")
    for step in plan.timeline.steps:
        book.add_component(_event(plan, step, made))
    return book.to_ical()


def _event(plan, step, made):
    event, place = Event(), plan.place
    event.add("uid", f"{plan.date}-{step.name.replace(' ', '-')}-{_where(place)}@lowsun")
    event.add("dtstamp", made)
    event.add("dtstart", words.local(step.when))
    event.add("summary", f"{plan_words.local_time(step.when, place)} {plan_words.label(step)}")
    event.add("location", say(place.name))
    event.add("geo", (place.latitude_deg, place.longitude_deg))
    event.add("description", f"{plan_words.sun_words(step)} {say(caution.SHORT)}")
    event.add("transp", "TRANSPARENT")
    if step.name in ALARM_BEFORE:
        event.add_component(_alarm(plan_words.label(step), ALARM_BEFORE[step.name]))
    return event


def _where(place):
    return f"{place.latitude_deg:.4f}_{place.longitude_deg:.4f}"


def _alarm(label, before):
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    minutes = before // timedelta(minutes=1)
    alarm.add("description", say("in {minutes} min: {label}", minutes=minutes, label=label))
    alarm.add("trigger", -before)
    return alarm
