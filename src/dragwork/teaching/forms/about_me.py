"""Who learns here: a nickname and the own rider, asked one at a time and kept in the own file."""

from html import escape

from dragwork.escaping import in_markdown
from dragwork.physics import Conditions, steady_speed
from dragwork.scenario.riders import TOBIN
from dragwork.teaching.forms.flow import Flow, FormWords
from dragwork.teaching.forms.learner_rider import rider_of
from dragwork.teaching.forms.rider_and_road import AREA

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


QUESTIONS = WORDS.questions({
    "name": (_read_name, lambda name, answers: WORDS("name", name) if name else WORDS("no name")),
    "area": (_read_area, _area_in_words),
})  # fmt: skip


class AboutMe(Flow):
    """Five questions about the learner and their rider. As the last line of a cell it shows itself.

    What is answered is kept in the learner's own file, at each answer. By code:
    `flow.answer(nickname="Ada", all_up_mass="78 kg", power="180", knows="not yet",
    rolling_coefficient="0.005")`.
    """

    words = WORDS.table
    questions = QUESTIONS

    def __init__(self):
        super().__init__()
        self._take_up(self.profile.content["me"].get("about", {}))

    def finish(self, answers):
        return self

    def _take_up(self, kept):
        """Answer as the file says; what no longer fits is asked again."""
        self.typed.update({name: text for name, text in kept.items() if name in self.typed})
        for question in self.questions:
            known = any(field.name in kept for field in question.fields)
            if not known or not super().submit(question):
                return

    def submit(self, question):
        """Read an answer, as `Flow.submit`; what was accepted is kept."""
        changed, before = [field.name for field in question.fields], self.open
        accepted = super().submit(question)
        if accepted:
            self._keep(changed, first=before is not None)
        return accepted

    def _keep(self, changed, first):
        """Keep the fields that were changed; another tab may have changed others. All, at first."""
        facts = {"about": {name: self.typed[name] for name in changed}}
        if "nickname" in changed:
            facts["name"] = self.answers["name"]
        if self.open is None:
            area = self._area_from_elsewhere() or self.answers["area"]
            whole = self.answers["mass"] | self.answers["power"] | self.answers["rolling"] | area
            facts["rider"] = {name: whole[name] for name in whole if first or name in changed}
        self.profile.keep_me(**facts)

    def _area_from_elsewhere(self):
        """The drag area that another notebook found, if none is typed here; it is not undone."""
        me = self.profile.content["me"]
        typed_here = KNOWN in (self.typed["knows"], me.get("about", {}).get("knows"))
        found = {name: (me.get("rider") or {}).get(name) for name in self.answers["area"]}
        return None if typed_here or found["drag_area"] is None else found

    @property
    def kept(self):
        """What is said once all is answered: where it is kept, and how fast this rider is."""
        if self.profile.remark:
            return self.profile.remark
        me = rider_of(self.profile)
        speed = steady_speed(me.rider, Conditions(), me.power)
        area = AREA.words(me.rider.drag_area)
        return WORDS("kept", file=self.profile.path.name, area=area, origin=me.about, speed=speed)

    def body(self, level):
        """The same as HTML."""
        return f"<p>{escape(self.kept)}</p>"

    def result_in_words(self):
        """Where it is kept, and how fast this rider is."""
        return in_markdown(self.kept)
