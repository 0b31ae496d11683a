"""Panel: a sheet's set-ups at one yaw and one air speed: drag area and force on the balance."""

from dragwork import units
from dragwork.physics.drag import drag_force
from dragwork.teaching.figures.yaw_curves import YawCurves
from dragwork.teaching.panels.knobs import knob
from dragwork.teaching.panels.panel import Panel, model
from dragwork.teaching.sheet_pictures import areas_by_yaw
from dragwork.teaching.telling import sentence

AIR_DENSITY = 1.2  # kg/m3


def yaw_curves(sheet):
    """The panel for a sheet: turn the yaw and the air speed. Reference: yaw 0 at 45 km/h."""
    curves = {name: sheet.yaw_curve(name) for name in sheet.set_ups}
    areas = areas_by_yaw(sheet, sheet.set_ups)

    @model
    def at_yaw(yaw, air_speed):
        """Drag areas [m2] and balance forces [N] by set-up; .ahead: the drag areas at yaw 0."""
        here = {name: float(curve(yaw)) for name, curve in curves.items()}
        force = {name: float(drag_force(a, AIR_DENSITY, air_speed)) for name, a in here.items()}
        ahead = {name: float(curve(0.0)) for name, curve in curves.items()}
        return dict(drag_area=here, force=force, ahead=ahead)

    low, high = (float(angle) for angle in units.to_deg(areas.yaw[[0, -1]]))
    yaw = knob("yaw", low=low, high=high)
    air_speed = knob("air_speed", reference=45)
    return Panel((yaw, air_speed), at_yaw, YawCurves(areas), in_words)


@sentence
def in_words(result):
    """At {yaw:.0f deg} yaw and {air_speed:.0f km/h} of air: {each}. From {first} to {last} it is {gap:.3f m2} here, and
    {straight:.3f m2} with the air from straight ahead."""
    each = (f"{name} {area:.3f} m² ({result.force[name]:.1f} N)" for name, area in result.drag_area.items())
    first, *_, last = result.drag_area
    gap, straight = (areas[first] - areas[last] for areas in (result.drag_area, result.ahead))
    return dict(each=", ".join(each), first=first, last=last, gap=gap, straight=straight)
