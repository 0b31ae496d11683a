"""The look of the pictures can be read, in grey too, and the quick way of drawing draws the truth."""

from io import BytesIO
from itertools import combinations

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from PIL import Image

from dragwork.teaching.figures import style
from dragwork.teaching.figures.canvas import Canvas
from dragwork.teaching.figures.picture import Picture
from dragwork.teaching.figures.style import PREDICTION, QUANTITY, SET_UP, bare, new_figure

LOOKS = {**QUANTITY, **SET_UP, "before": style.BEFORE, "prediction": PREDICTION}

# Colours as seen without red or green cones: Machado, Oliveira & Fernandes (2009), severity 1.0,
# on linear sRGB. Typed from memory; each row must sum to 1, so that greys stay grey.
NO_RED = [
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
]
NO_GREEN = [
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.011820, 0.042940, 0.968881],
]


def linear(colour):
    parts = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def lab(rgb):
    """CIELAB of linear sRGB, white D65 (IEC 61966-2-1, CIE 15)."""
    xyz = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    ) @ np.clip(rgb, 0, 1) / [0.9505, 1.0, 1.089]  # fmt: skip
    f = np.where(xyz > (6 / 29) ** 3, np.cbrt(xyz), xyz / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def contrast(colour):
    """Contrast ratio of an sRGB colour to white, 1 to 21 (WCAG 2.2, relative luminance and contrast ratio)."""
    return 1.05 / (np.dot([0.2126, 0.7152, 0.0722], linear(colour)) + 0.05)


def test_contrast_agrees_with_the_ends_of_its_scale_and_published_values():
    assert contrast("#000000") == pytest.approx(21)
    assert contrast("#ffffff") == pytest.approx(1)
    # #767676 is commonly named as the lightest grey with 4.5:1 on white (from memory: 4.54)
    assert contrast("#767676") == pytest.approx(4.54, abs=0.005)
    assert contrast("#777777") < 4.5


@pytest.mark.parametrize("name", LOOKS)
def test_every_line_has_three_to_one_on_white(name):
    assert contrast(LOOKS[name]["color"]) >= 3


@pytest.mark.parametrize("name", LOOKS)
def test_every_word_has_four_and_a_half_to_one(name):
    assert contrast(style.text_colour(LOOKS[name]["color"])) >= 4.5
    assert contrast(style.INK) >= 4.5
    assert contrast(style.QUIET_INK) >= 4.5


def test_a_dark_enough_colour_is_left_alone():
    assert style.text_colour(style.BLUE) == style.BLUE


@pytest.mark.parametrize("family", [QUANTITY, SET_UP], ids=["quantities", "set-ups"])
def test_no_meaning_rests_on_colour_alone(family):
    markers = [look["marker"] for look in family.values()]
    assert len(set(markers)) == len(family)
    for one, other in combinations(family.values(), 2):
        grey = abs(contrast(one["color"]) - contrast(other["color"])) >= 3
        assert grey or one["linestyle"] != other["linestyle"]


@pytest.mark.parametrize("family", [QUANTITY, SET_UP], ids=["quantities", "set-ups"])
@pytest.mark.parametrize("cones", [np.eye(3), np.array(NO_RED), np.array(NO_GREEN)],
                         ids=["all", "no red", "no green"])  # fmt: skip
def test_colours_stay_apart_without_red_or_green_cones(family, cones):
    """A CIELAB distance of 20 is about ten times what is just seen apart."""
    assert np.allclose(cones.sum(axis=1), 1, atol=2e-6)
    seen = [lab(cones @ linear(look["color"])) for look in family.values()]
    assert min(np.linalg.norm(a - b) for a, b in combinations(seen, 2)) > 20


def test_text_is_one_typeface_and_large_enough_to_read():
    figure, axes = new_figure()
    style.name_axes(axes, "Speed, km/h", "Power, W")
    name = style.label_line(axes, "air", QUANTITY["air"], 0.5, 0.5)
    texts = [axes.xaxis.label, axes._left_title, name, *axes.get_xticklabels()]
    figure.canvas.draw()
    assert {text.get_fontname() for text in texts} == {"DejaVu Sans"}
    assert min(text.get_fontsize() for text in texts) * 100 / 72 >= 15  # pixels at scale 1


@pytest.mark.parametrize(
    ("side", "across", "up"),
    [("right", 1, 0), ("left", -1, 0), ("above", 0, 1), ("below", 0, -1), ("above left", -1, 1),
     ("above right", 1, 1), ("below left", -1, -1), ("below right", 1, -1)],
)  # fmt: skip
def test_a_label_stands_on_the_side_that_is_named(side, across, up):
    figure, axes = new_figure()
    label = style.label_line(axes, "air", QUANTITY["air"], 0.5, 0.5, side)
    box = label.get_window_extent(figure.canvas.get_renderer())
    x, y = axes.transData.transform((0.5, 0.5))
    right, above = box.x0 > x, box.y0 > y
    left, below = box.x1 < x, box.y1 < y
    assert int(right) - int(left) == across
    assert int(above) - int(below) == up


def test_a_label_is_put_on_another_side():
    figure, axes = new_figure()
    label = style.label_line(axes, "air", QUANTITY["air"], 0.2, 0.2, "right")
    style.put(label, 0.5, 0.5, "below left")
    there = style.label_line(axes, "air", QUANTITY["air"], 0.5, 0.5, "below left")
    renderer = figure.canvas.get_renderer()
    assert label.get_window_extent(renderer).bounds == there.get_window_extent(renderer).bounds


@pytest.mark.parametrize(
    ("heights", "highest", "moved"),
    [
        ([5, 1, 9], np.inf, [5, 1, 9]),
        ([5, 1, 6], np.inf, [5, 1, 7]),
        ([2, 1, 3, 1], np.inf, [5, 1, 7, 3]),
        ([9, 10], 10, [8, 10]),
        ([9, 9, 9], 10, [6, 8, 10]),
        ([], 10, []),
    ],
)
def test_words_move_apart_and_keep_their_order(heights, highest, moved):
    assert style.apart(heights, 2, highest) == moved


def test_a_line_behind_a_word_does_not_cross_it_out():
    """Between and beside the letters the line is gone; some way off it is there."""
    figure, axes = new_figure(4, 2)
    axes.set_axis_off()
    figure.add_artist(Line2D([0, 1], [0.5, 0.5], color="red"))
    figure.text(0.5, 0.5, "l l", va="center", ha="center")
    figure.canvas.draw()
    red, green, _, _ = np.moveaxis(np.asarray(figure.canvas.buffer_rgba()).astype(int), 2, 0)
    lined = np.flatnonzero((red - green > 60)[90:110].any(axis=0))
    assert {0, 150, 250, 399} <= set(lined)
    assert not set(range(192, 208)) & set(lined)


def test_no_label_is_read_as_a_formula():
    """matplotlib itself refuses such a label where it takes dollars for mathematics."""
    figure, axes = new_figure(3, 2)
    axes.set_yticks([0.5], ["suit_A^2 $x^{2$"])
    figure.text(0.5, 0.5, "suit_A^2 $x^{2$")
    figure.canvas.draw()
    plain = Figure(figsize=(3, 2))
    plain.text(0.5, 0.5, "suit_A^2 $x^{2$")
    with pytest.raises(ValueError):
        FigureCanvasAgg(plain).draw()


def words_drawn(canvas, shift=0.0):
    """Words upright, turned, in two lines, faint, with dollars, out of the picture: 400 x 200."""
    figure, axes = new_figure(4, 2)
    canvas(figure)
    axes.set_axis_off()
    for x, y, text, look in (
        (124, 110, "gÅj 35.4 km/h", {"color": style.VERMILLION}),
        (200, 40, "10 km\n4 % up", {"alpha": 0.5}),
        (350, 100, "turned", {"rotation": 90, "color": (0, 0, 1, 0.3)}),
        (80, 160, "$v^2$", {"parse_math": False}),
        (300, 160, "beyond the edge", {}),
    ):
        figure.text((x + shift) / 400, (y + shift) / 200, text, **look)
    figure.canvas.draw()
    return np.asarray(figure.canvas.buffer_rgba()).astype(int)


def test_words_on_whole_pixels_look_as_matplotlib_draws_them():
    ours, theirs = words_drawn(Canvas), words_drawn(FigureCanvasAgg)
    assert (theirs < 200).any()
    assert np.abs(ours - theirs).max() <= 2  # of 255


def test_upright_words_snap_to_whole_pixels():
    there, near = words_drawn(Canvas), words_drawn(Canvas, shift=0.3)
    lines = slice(0, 100), slice(100, 340)  # the two single lines; a formula does not snap
    assert (there[lines] < 200).any()
    assert np.array_equal(there[lines], near[lines])


def test_words_keep_apart_by_size_and_colour():
    figure, axes = new_figure(4, 2)
    canvas = figure.canvas
    axes.set_axis_off()
    text = axes.text(0.5, 0.5, "word")
    seen = []
    for change in ({}, {"fontsize": 20}, {"color": style.BLUE}, {"text": "words"}):
        text.set(**change)
        canvas.draw()
        seen.append(np.asarray(canvas.buffer_rgba()).tobytes())
    figure.set_dpi(200)
    canvas.draw()
    seen.append(np.asarray(canvas.buffer_rgba()).tobytes())
    assert len(set(seen)) == len(seen)


def test_a_figure_leaves_nothing_in_pyplot():
    import matplotlib.pyplot as plt

    new_figure()
    assert plt.get_fignums() == []


# -- drawing ----------------------------------------------------------------------------------------


class Line(Picture):
    """A line that ends at a height, its name beside its end."""

    def __init__(self, moving=True):
        figure, axes = new_figure(5, 3)
        axes.set(xlim=(0, 1), ylim=(0, 10))
        (self.line,) = axes.plot([], [], **bare(QUANTITY["air"]))
        self.name = style.label_line(axes, "", QUANTITY["air"], side="above left")
        super().__init__("A line", figure, [self.line, self.name] if moving else [])

    def update(self, result, before=None, predictions=()):
        self.line.set_data([0, 1], [0, result])
        self.name.xy = (1, result)
        self.name.set_text(f"{result:.1f}")


def pixels(png):
    return np.asarray(Image.open(BytesIO(png)).convert("RGB"))


def drawn_afresh(result, scale, on_top=True, **limits):
    """The same picture by matplotlib alone: a new figure, drawn whole and saved by its writer."""
    picture = Line()
    picture.update(result)
    if on_top:  # what moves is drawn last, so over the axes
        picture.line.set_zorder(10)
        picture.name.set_zorder(11)
    picture.figure.axes[0].set(**limits)
    out = BytesIO()
    picture.figure.savefig(out, format="png", dpi=100 * scale)
    return pixels(out.getvalue())


@pytest.mark.parametrize("moving", [True, False], ids=["kept background", "nothing declared"])
def test_the_quick_picture_is_the_true_one_pixel_by_pixel(moving):
    picture = Line(moving)
    for result, scale in [(3, 1), (8, 1), (5, 2), (5, 1), (9.5, 1), (9.5, 2), (2, 1.5), (2, 1)]:
        picture.update(result)
        assert np.array_equal(pixels(picture.png(scale)), drawn_afresh(result, scale, moving))


def test_changed_limits_are_seen():
    picture = Line()
    picture.update(3)
    picture.png()
    picture.figure.axes[0].set(ylim=(0, 4))
    for scale in (1, 2, 1):
        seen = pixels(picture.png(scale))
        assert np.array_equal(seen, drawn_afresh(3, scale, ylim=(0, 4)))


def test_a_moving_artist_leaves_the_background_as_it_was(monkeypatch):
    picture = Line()
    picture.update(3)
    picture.png()
    picture.png(2)
    monkeypatch.setattr(picture.figure.canvas, "draw", lambda: pytest.fail("drawn whole again"))
    for result, scale in [(4, 1), (4, 2), (6, 1), (7, 1)]:
        picture.update(result)
        picture.png(scale)


def test_the_saved_picture_is_small_sharp_and_always_the_same():
    picture = Line()
    picture.update(3)
    saved = picture.saved_png()
    other = Line()
    other.update(7)
    other.png()
    other.update(3)
    assert other.saved_png() == saved
    assert len(saved) < 30_000
    image = Image.open(BytesIO(saved))
    assert image.size == (750, 450)
    assert picture.size == (500, 300)
    off = np.abs(pixels(saved).astype(int) - drawn_afresh(3, 1.5).astype(int))
    assert off.mean() < 0.5  # of 255: fewer colours, the same picture
