"""One rule a notebook: a sentence with gaps. The right option of each gap comes first in the data."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Gap:
    """A gap in a rule.

    Parameters
    ----------
    options : tuple of str
        The right one first; a page shows them sorted.
    hint : str
        What helps where another one was chosen; it does not name the right one.
    """

    options: tuple
    hint: str

    @property
    def right(self):
        return self.options[0]


@dataclass(frozen=True)
class Rule:
    """A rule that covers the three cases of a notebook.

    Parameters
    ----------
    text : str
        With `{}` for each gap.
    gaps : tuple of Gap
    because : str
        Said once all gaps are filled rightly.
    """

    text: str
    gaps: tuple
    because: str

    def __post_init__(self):
        if self.text.count("{}") != len(self.gaps):
            raise ValueError(f"The rule '{self.text}' needs one Gap for each {{}}.")

    @property
    def filled(self):
        """The rule without gaps."""
        return self.text.format(*(gap.right for gap in self.gaps))


RULES = {
    "01": Rule(
        "Air gets denser when the {} rises and thinner when the temperature rises, in {}. Water "
        "vapour makes it a little {}.",
        (
            Gap(
                ("pressure", "altitude", "humidity"),
                "Which of them rises with fair weather, and falls as you climb?",
            ),
            Gap(
                ("kelvin", "degrees Celsius", "joules"),
                "20 °C is not twice as warm as 10 °C. Which scale starts at absolute zero?",
            ),
            Gap(
                ("thinner", "denser", "colder"),
                "Look at the bar again, with the humidity at 0 and at 100 %.",
            ),
        ),
        "At a given pressure, vapour replaces some of the dry air, and it is lighter.",
    ),
    "02": Rule(
        "In still air the force of the air grows with the {} of the speed, and its power with the {}. "
        "A smaller drag area lowers the power at every speed by the same {}.",
        (
            Gap(
                ("square", "cube", "double"),
                "What does the force do when the speed doubles?",
            ),
            Gap(
                ("cube", "square", "speed alone"),
                "Power is the force times the speed over the ground: one more factor of speed.",
            ),
            Gap(
                ("factor", "number of watts", "speed"),
                "Compare Imke and Tobin at 20 and at 40 km/h. What is the same at both speeds?",
            ),
        ),
        "That is why twice the speed takes eight times the watts, for every rider.",
    ),
    "03": Rule(
        "In still air the power for the {} grows with the cube of speed. The power for tyres and slope "
        "grows {} speed. The power at the {} is more than the power at the wheel.",
        (
            Gap(
                ("air", "slope", "tyres"),
                "Which of the curves bends?",
            ),
            Gap(
                ("in proportion to", "with the square of", "independently of"),
                "Their force does not change with speed. What does force times speed do?",
            ),
            Gap(
                ("crank", "tyres", "brakes"),
                "Where does the rider push? The drivetrain loss comes after that.",
            ),
        ),
        "The larger the air share, the nearer you are to the cube.",
    ),
    "04": Rule(
        "A forgotten tare adds the same {} to every set-up, so the {} of two set-ups is right and "
        "{} is wrong.",
        (
            Gap(
                ("drag area", "percentage", "spread"),
                "What did all three dots do when the tare grew?",
            ),
            Gap(
                ("difference", "ratio", "mean"),
                "Both dots move by the same amount. What stays the same between them?",
            ),
            Gap(
                ("each drag area on its own", "the order of the set-ups", "the spread of the repeats"),
                "Which of these would you read off the table and get wrong?",
            ),
        ),
        "That is true if the tare was forgotten for both, at the same yaw. A percentage is a ratio, so it "
        "is wrong too.",
    ),
    "05": Rule(
        "To detect half the difference I need {} times the runs. Runs count as repeats if the rider {} "
        "between them. The best of many set-ups, picked afterwards, needs a {} interval.",
        (
            Gap(
                ("four", "two", "sixteen"),
                "The interval shrinks with the square root of the number of runs.",
            ),
            Gap(
                ("gets off and on again", "keeps quite still", "is not told the result"),
                "What changes on a new day, but not between two readings in one sitting?",
            ),
            Gap(
                ("wider", "narrower", "usual"),
                "The usual interval is for a pair you named beforehand. What does picking the luckiest change?",
            ),
        ),
        "So name the pair first, let the rider get off, and steady the spread before you add runs.",
    ),
    "06": Rule(
        "I ride out and back at the same {}: a steady wind and a slope nearly cancel, and what is left "
        "depends on the wind {}. To separate drag area from tyres I need laps at {}.",
        (
            Gap(
                ("speed", "power", "gear"),
                "The mean of (v + w)² and (v − w)² is simple if v is the same in both.",
            ),
            Gap(
                ("squared", "doubled", "halved"),
                "Add (v + w)² and (v − w)², and look at what does not cancel.",
            ),
            Gap(
                ("two speeds", "one speed", "two places"),
                "A line needs points that are far apart along its axis. What moves a lap along it?",
            ),
        ),
        "Tyres push back equally at every speed, and air with the square of speed. Only a change of "
        "speed shows which is which.",
    ),
    "07": Rule(
        "In the same wind a faster rider meets a {} yaw. A wind straight from the side makes the air "
        "that I feel {}. For the average of a day I average the {}.",
        (
            Gap(
                ("smaller", "larger", "equal"),
                "Look at the two grey riders in the triangle again: 18 and 48 km/h.",
            ),
            Gap(
                ("faster", "slower", "no faster and no slower"),
                "Which side of a triangle with a right angle is the longest?",
            ),
            Gap(
                ("drag", "yaw", "speed"),
                "Half the time the yaw is 14° from the left, half the time 14° from the right. "
                "Which average is of use to you?",
            ),
        ),
        "Drag depends on how far from the side the air comes, not on which side: left and right do not cancel.",
    ),
    "08": Rule(
        "To take a claim to my own speed I keep the {} and scale the {} with the air speed {} times "
        "the ground speed.",
        (
            Gap(
                ("change of drag area", "watts", "percentage of my power"),
                "Which of them is a property of the helmet, the same at every speed?",
            ),
            Gap(
                ("watts", "drag area", "air density"),
                "Which of them did you see change while the speed changed?",
            ),
            Gap(
                ("squared", "cubed", "once"),
                "The push of the air depends on the air speed. To which power?",
            ),
        ),
        "In still air both speeds are the same, and the square becomes a cube.",
    ),
    "09": Rule(
        "For one rider, a small cut and still air, on the flat or uphill: watts saved grow with the {} of "
        "speed. Seconds saved per hour rise towards a {} of the cut. Seconds saved over a fixed road {} "
        "with speed as long as air takes more than a {} of the power.",
        (
            Gap(
                ("cube", "square", "speed alone"),
                "The push of the air grows with the square. Power is that push times speed.",
            ),
            Gap(
                ("third", "half", "quarter"),
                "Read the dashed line in the middle picture against 5 % of 3600 s.",
            ),
            Gap(
                ("fall", "rise", "stay"),
                "On the flat, set 220 W and then 350 W, and read the lowest picture.",
            ),
            Gap(
                ("quarter", "third", "half"),
                "Read the label of the dashed line in the lowest picture.",
            ),
        ),
        "A faster rider gains more in each minute, but spends fewer minutes on the road.",
    ),
    "10": Rule(
        "To compare two claims I turn both into a {}. For what a claim leaves out I use a {}. "
        "Then I ask first about the condition that changes the result {}.",
        (
            Gap(
                ("change of drag area", "number of watts", "percentage"),
                "Which of them is the same at the speed of the test and at yours?",
            ),
            Gap(
                ("range", "best guess", "zero"),
                "A single number would say that you know it. Do you?",
            ),
            Gap(
                ("most", "least", "last"),
                "Which answer from the seller would narrow your range?",
            ),
        ),
        "An honest number can still be far from yours; what it leaves out decides how far.",
    ),
    "11": Rule(
        "I count all options in the same unit: {}. The power a position can cost is its cut times the {}. "
        "On a long climb {} move up the order.",
        (
            Gap(
                ("seconds on my road", "watts at 50 km/h", "percentages"),
                "Which of them lets a helmet, a kilogram and a training plan be compared?",
            ),
            Gap(
                ("air share of the power", "speed", "air density"),
                "Tobin's 8 % was worth 6.8 % of his power. Which number of his made it less?",
            ),
            Gap(
                ("power and mass", "drag area and yaw", "helmets"),
                "What takes the watts on a climb, and what pays for them?",
            ),
        ),
        "The order depends on the rider and the road, not on the option alone.",
    ),
    "12": Rule(
        "A test measures a {} of drag area, with a range. The rider's speed turns it into {}, "
        "the road turns it into {}, and the range goes {}.",
        (
            Gap(
                ("difference", "percentage", "price"),
                "What survives the errors that both set-ups share?",
            ),
            Gap(
                ("watts", "kilograms", "degrees"),
                "What did lesson 08 work out for each speed?",
            ),
            Gap(
                ("minutes", "kilometres", "watts"),
                "What does a clock at the finish show?",
            ),
            Gap(
                ("with it, all the way", "no further", "away at the end"),
                "Does a sum know more than the numbers that went into it?",
            ),
        ),
        "Don't trust a number that has lost its range on the way.",
    ),
}
