"""Who learns here: a nickname and the own rider, asked one at a time and kept in the own file."""

from dragwork.physics import Conditions, steady_speed
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.forms.flow import Flow, FormWords
from dragwork.teaching.forms.learner_rider import rider_of
from dragwork.teaching.forms.rider_and_road import AREA
from dragwork.teaching.report import Found

WORDS = FormWords("about_me.json")
LONGEST_NAME = 40  # letters
NONE_YET, KNOWN = "not yet", "known"


def _read_name(values, answers):
    name = " ".join(values["nickname"].split())
    if len(name) > LONGEST_NAME:
        raise ValueError(WORDS("long name", LONGEST_NAME, len(name)))
    return name


def _read_area(values, answers):
    if values["knows"] == NONE_YET:
        return {"drag_area": None, "drag_area_sd": None, "drag_area_from": ""}
    origin = " ".join(values["drag_area_from"].split()) or "own number"
    return {"drag_area": values["drag_area"], "drag_area_sd": values["drag_area_sd"], "drag_area_from": origin}


def _area_in_words(area, answers):
    known, spread = area["drag_area"], area["drag_area_sd"]
    if known is None:
        return WORDS("borrowed", name=TOBIN.name, area=AREA.words(TOBIN.rider.drag_area))
    sd = "spread not known" if spread is None else f"SD {AREA.words(spread)}"
    return WORDS("area", area=AREA.words(known), spread=sd, origin=area["drag_area_from"])


class KeptRider(Found):
    """What is kept in the learner's file, once all is answered: where, and how fast this rider is."""

    def __init__(self, profile):
        self.profile = profile

    @property
    def pieces(self):
        if self.profile.remark:
            return (self.profile.remark,)
        me = rider_of(self.profile)
        speed = steady_speed(me.rider, Conditions(), me.power)
        area = AREA.words(me.rider.drag_area)
        return (WORDS("kept", file=self.profile.path.name, area=area, origin=me.about, speed=speed),)


class AboutMe(Flow):
    """Five questions about the learner and their rider. As the last line of a cell it shows itself.

    What is answered is kept in the learner's own file, at each answer. By code:
    `flow.answer(nickname="Ada", all_up_mass="78 kg", power="180", knows="not yet",
    rolling_coefficient="0.005")`.
    """

    words = WORDS.table
    questions = WORDS.questions(
        {"name": _read_name, "area": _read_area},
        {"name": lambda name, _: WORDS("name" if name else "no name", name), "area": _area_in_words},
    )

    def __init__(self):
        super().__init__()
        kept = self.profile.content["me"].get("about", {})
        self.typed |= {name: text for name, text in kept.items() if name in self.typed}
        for question in self.questions:  # what no longer fits is asked again
            known = any(field.name in kept for field in question.fields)
            if not known or not super().submit(question):
                break

    def finish(self, answers):
        return KeptRider(self.profile)

    def submit(self, *questions):
        """Read answers, as `Flow.submit`, and keep the fields that were changed; at first all of them.

        Another tab may have changed others.
        """
        first = self.open is not None
        if not super().submit(*questions):
            return False
        changed = [field.name for question in questions for field in question.fields]
        facts = {"about": {name: self.typed[name] for name in changed}}
        if "nickname" in changed:
            facts["name"] = self.answers["name"]
        if self.open is None:
            area = self._area_from_elsewhere() or self.answers["area"]
            whole = self.answers["mass"] | self.answers["power"] | self.answers["rolling"] | area
            facts["rider"] = {name: whole[name] for name in whole if first or name in changed}
        self.profile.keep_me(**facts)
        return True

    def _area_from_elsewhere(self):
        """The drag area that another notebook found, if none is typed here; it is not undone."""
        me = self.profile.content["me"]
        typed_here = KNOWN in (self.typed["knows"], me.get("about", {}).get("knows"))
        found = {name: (me.get("rider") or {}).get(name) for name in self.answers["area"]}
        return None if typed_here or found["drag_area"] is None else found
