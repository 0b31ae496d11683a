"""The one bibliography: a key for each source, used in docstrings, tests and notebooks."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Source:
    """A published source: what it is, and where in it we looked."""

    reference: str
    place: str = ""


SOURCES = {
    "ALGEBRA": Source("Follows by algebra from definitions and other equations of this library."),
    "COMMON_PRACTICE": Source("Common practice of the trade, no source."),
    # air
    "ISO2533": Source(
        "ISO 2533:1975, Standard Atmosphere (below 32 km the same as the U.S. Standard Atmosphere 1976).",
        "defining constants and the table by geometric altitude",
    ),
    "CIPM2007": Source(
        "Picard, Davis, Glaeser, Fujii (2008). Revised formula for the density of moist air "
        "(CIPM-2007). Metrologia 45, 149-155. doi 10.1088/0026-1394/45/2/004",
        "equations 1 to 3 and appendix A",
    ),
    "CIDDOR1996": Source(
        "Ciddor (1996). Refractive index of air: new equations for the visible and near infrared. "
        "Applied Optics 35, 1566-1573. doi 10.1364/AO.35.001566",
        "compressibility of dry air",
    ),
    "OIML_R111": Source("OIML R 111-1:2004, Weights of classes E1 to M3.", "equation E.3-1"),
    "CRC": Source(
        "Lide, ed. (2005). CRC Handbook of Chemistry and Physics.", "vapour pressure of water"
    ),
    "CFR1065": Source(
        "40 CFR Part 1065, Engine-testing procedures (U.S., public domain).",
        "sections 1065.630 and 1065.645",
    ),
    "WMO8": Source(
        "WMO-No. 8, Guide to Instruments and Methods of Observation; roughness classes after "
        "Wieringa (1992), J. Wind Eng. Ind. Aerodyn. 41, 357-368.",
        "part I, chapter 5",
    ),
    # power on the road
    "MARTIN1998": Source(
        "Martin, Milliken, Cobb, McFadden, Coggan (1998). Validation of a mathematical model for "
        "road cycling power. J. Appl. Biomech. 14(3), 276-291. doi 10.1123/jab.14.3.276",
        "the model's equations and the worked example",
    ),
    "YOUNG_FREEDMAN": Source(
        "Young, Freedman. University Physics, 13th edition.", "problem 6.99(a)"
    ),
    "KNIGHT": Source("Knight. Physics for Scientists and Engineers.", "problem on a cyclist's drag"),
    "CFR86": Source(
        "40 CFR 86.529-98, Road load force and inertia weight determination (U.S., public domain).",
        "table of coast-down times",
    ),
    "SMIT2023": Source(
        "Smit et al. (2023). Sports Engineering. doi 10.1007/s12283-023-00439-z",
        "measured loss of a chain drive, 2.1 +- 1.5 %",
    ),
    "ROA2021": Source(
        "Roa et al. (2021). Sports Biomechanics. doi 10.1080/14763141.2020.1837925",
        "effect of wind and slope on a field drag area",
    ),
    "DEBRAUX2011": Source(
        "Debraux, Grappe, Manolova, Bertucci (2011). Aerodynamic drag in cycling: methods of "
        "assessment. Sports Biomechanics 10, 197-218. doi 10.1080/14763141.2011.592209",
        "abstract",
    ),
    "PADILLA2000": Source(
        "Padilla, Mujika, Angulo, Goiriena (2000). Scientific approach to the 1-h cycling world "
        "record: a case study. J. Appl. Physiol. 89, 1522-1527.",
        "drag area, speed and power of one hour on the track",
    ),
    "JEUKENDRUP2001": Source(
        "Jeukendrup, Martin (2001). Improving cycling performance: how should we spend our time "
        "and money. Sports Medicine 31, 559-569. doi 10.2165/00007256-200131070-00009",
        "modelled 40 km times and savings; numbers quoted from memory, not looked up",
    ),
    "HEIL2002": Source("Heil (2002). Eur. J. Appl. Physiol. 87, 520-528.", "mean frontal area of a bicycle"),
    "BROKER1999": Source(
        "Broker, Kyle, Burke (1999). Racing cyclist power requirements in the 4000-m individual and "
        "team pursuits. Med. Sci. Sports Exerc. 31, 1677-1685.",
        "power of the riders of a pace line over the leader's; from memory",
    ),
    "BLOCKEN2018": Source(
        "Blocken, van Druenen, Toparlar, Malizia et al. (2018). Aerodynamic drag in cycling pelotons. "
        "J. Wind Eng. Ind. Aerodyn. 179, 319-337.",
        "abstract, from memory: shares of the drag alone, in line and inside a peloton of 121",
    ),
    "SHELTER2021": Source(
        "Sports Engineering (2021). doi 10.1007/s12283-021-00345-2",
        "introduction, from memory: largest reductions of drag behind others in earlier studies",
    ),
    # drag, wind, yaw
    "SAE_J1252": Source(
        "SAE J1252, Wind tunnel test procedure for trucks and buses.", "wind-averaged drag"
    ),
    "SUTHERLAND": Source(
        "Sutherland's law with the constants of ISO 2533:1975.", "dynamic viscosity"
    ),
    "BLOCKAGE": Source(
        "Barlow, Rae, Pope (1999). Low-Speed Wind Tunnel Testing, 3rd edition.",
        "closed test sections, the area rule of continuity",
    ),
    # measurement
    "GUM": Source(
        "JCGM 100:2008, Evaluation of measurement data: Guide to the expression of uncertainty "
        "in measurement.",
        "sections 5 and G.4, examples H.2 and H.3",
    ),
    "JCGM101": Source(
        "JCGM 101:2008, Propagation of distributions using a Monte Carlo method.", "section 9.4"
    ),
    "ISO5725": Source(
        "ISO 5725-2:1994, Accuracy (trueness and precision) of measurement methods and results.",
        "example B.1",
    ),
    "COHEN1988": Source(
        "Cohen (1988). Statistical Power Analysis for the Behavioral Sciences, 2nd edition.",
        "two means, sample sizes by the noncentral t distribution",
    ),
    "STUDENT1908": Source(
        "Student (1908). The probable error of a mean. Biometrika 6, 1-25.", "sleep of ten patients"
    ),
    "TUKEY1953": Source(
        "Tukey (1953). The problem of multiple comparisons.", "the studentised range, all pairs"
    ),
    "ASTM_E2587": Source(
        "ASTM E2587, Standard practice for use of control charts in statistical process control.",
        "constants d2: expected range in standard deviations",
    ),
    "STATSMODELS": Source("statsmodels: statistical models and tests."),
    "NIST_STRD": Source("NIST Statistical Reference Datasets (public domain).", "Norris"),
    # places on the earth
    "WGS84": Source(
        "NGA.STND.0036 (2014), World Geodetic System 1984: its definition and relationships with "
        "local geodetic systems.",
        "defining parameters; lengths of a degree and of a quarter meridian follow from them",
    ),
    "GPXPY": Source("gpxpy, reading of GPX files; its `length_2d` as a second witness."),
    "BELSLEY1980": Source(
        "Belsley, Kuh, Welsch (1980). Regression Diagnostics: Identifying Influential Data and "
        "Sources of Collinearity.",
        "condition indices above 30; numbers quoted from memory, not looked up",
    ),
    # reference libraries that the tests compare with
    "COOLPROP": Source("CoolProp, thermophysical properties of fluids and of humid air."),
    "AMBIANCE": Source("ambiance, the ICAO standard atmosphere 1993."),
    "SCIPY": Source("SciPy: root finders, quadrature and the ODE solver `solve_ivp`."),
    "UNCERTAINTIES": Source("uncertainties, first-order propagation with correlation."),
    "PINT": Source("Pint, physical units and dimensions."),
    # units, looks and teaching
    "BIPM_SI": Source("BIPM, The International System of Units (SI), 9th edition (2019)."),
    "NIST_SP811": Source(
        "Thompson, Taylor (2008). Guide for the Use of the International System of Units (SI). NIST "
        "Special Publication 811.",
        "appendix B.8: factors for units listed alphabetically",
    ),
    "CGPM1901": Source("3rd CGPM (1901): standard acceleration of gravity, 9.80665 m/s2."),
    "OKABE_ITO": Source(
        "Okabe, Ito (2008). Color universal design: how to make figures that are friendly to "
        "colour-blind people."
    ),
}


def cite(key):
    """The reference behind a key, as one sentence for a page."""
    source = SOURCES[key]
    return f"{source.reference} ({source.place})" if source.place else source.reference
