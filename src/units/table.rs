//! Units and their conversions.
//!
//! Factors are exact by definition where NIST Special Publication 811 (2008), appendix B, prints
//! them in bold: inch, foot, mile, pound, pound-force, kilogram-force, litre. The conventional
//! inch and millimetre of mercury take 13,595.1 kg/m³ and standard gravity (ibid., B.8). The metric
//! horsepower is 75 kgf·m/s, the other one 550 ft·lbf/s (ibid.).

use super::STANDARD_GRAVITY;
use super::dimension::{Dimension, Unit};

/// Metres in an inch.
pub const INCH: f64 = 0.0254;
/// Metres in a foot.
pub const FOOT: f64 = 0.3048;
/// Metres in a statute mile.
pub const MILE: f64 = 1609.344;
/// Kilograms in an avoirdupois pound.
pub const POUND: f64 = 0.453_592_37;
/// Newtons in a pound-force.
pub const POUND_FORCE: f64 = POUND * STANDARD_GRAVITY;
/// Newton metres in a pound-force foot.
pub const POUND_FOOT: f64 = POUND_FORCE * FOOT;
/// Watts in a horsepower of 550 ft·lbf/s, the bhp of English-speaking countries.
pub const HORSEPOWER: f64 = 550.0 * POUND_FOOT;
/// Watts in a metric horsepower, PS, cv, ch, pk.
pub const METRIC_HORSEPOWER: f64 = 75.0 * STANDARD_GRAVITY;
/// Pascals in a conventional millimetre of mercury.
pub const MILLIMETRE_OF_MERCURY: f64 = 13.5951 * STANDARD_GRAVITY;
/// Pascals in a conventional inch of mercury.
pub const INCH_OF_MERCURY: f64 = 25.4 * MILLIMETRE_OF_MERCURY;
/// Metres per second in a kilometre per hour.
pub const KILOMETRE_PER_HOUR: f64 = 1.0 / 3.6;
/// Metres per second in a mile per hour.
pub const MILE_PER_HOUR: f64 = MILE / 3600.0;
/// One knot in m/s: a nautical mile of 1852 m an hour (The International System of Units, BIPM).
pub const KNOT: f64 = 1852.0 / 3600.0;
/// Kelvin at 0 °C.
pub const ZERO_CELSIUS: f64 = 273.15;

const DEGREE: f64 = std::f64::consts::PI / 180.0;

const fn unit(spellings: &'static [&'static str], factor: f64) -> Unit {
    Unit {
        spellings,
        factor,
        offset: 0.0,
    }
}

/// Mass, kg.
pub static MASS: Dimension = Dimension {
    name: "mass",
    wants: "kg or lb",
    example: "960 kg",
    units: &[
        unit(
            &["kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"],
            1.0,
        ),
        unit(&["lb", "lbs", "pound", "pounds"], POUND),
        unit(&["g", "gram", "grams"], 1e-3),
        unit(&["t", "tonne", "tonnes"], 1e3),
        unit(&["cwt"], 112.0 * POUND),
    ],
};

/// Length, m.
pub static LENGTH: Dimension = Dimension {
    name: "length",
    wants: "mm, m, km, in, ft or mi",
    example: "140 m",
    units: &[
        unit(&["m", "metre", "metres", "meter", "meters", "mtr"], 1.0),
        unit(
            &[
                "mm",
                "millimetre",
                "millimetres",
                "millimeter",
                "millimeters",
            ],
            1e-3,
        ),
        unit(&["cm", "centimetre", "centimetres"], 1e-2),
        unit(
            &["km", "kilometre", "kilometres", "kilometer", "kilometers"],
            1e3,
        ),
        unit(&["in", "inch", "inches", "\"", "″", "”"], INCH),
        unit(&["ft", "foot", "feet", "'"], FOOT),
        unit(&["yd", "yds", "yard", "yards"], 3.0 * FOOT),
        unit(&["mi", "mile", "miles"], MILE),
    ],
};

/// Area, m².
pub static AREA: Dimension = Dimension {
    name: "area",
    wants: "m2 or ft2",
    example: "0.66 m2",
    units: &[
        unit(&["m2", "sqm", "m^2"], 1.0),
        unit(&["cm2", "sqcm"], 1e-4),
        unit(&["ft2", "sqft"], FOOT * FOOT),
    ],
};

/// Speed, m/s.
pub static SPEED: Dimension = Dimension {
    name: "speed",
    wants: "km/h, mph or m/s",
    example: "110 km/h",
    units: &[
        unit(
            &["km/h", "kph", "kmh", "kmph", "km/hr", "km/u", "km/t"],
            KILOMETRE_PER_HOUR,
        ),
        unit(&["mph", "mi/h", "mile/h", "miles/h"], MILE_PER_HOUR),
        unit(&["m/s", "mps"], 1.0),
        unit(&["kn", "kt", "kts", "knot", "knots"], KNOT),
    ],
};

/// Time, s.
pub static TIME: Dimension = Dimension {
    name: "time",
    wants: "s, ms or min",
    example: "0.35 s",
    units: &[
        unit(
            &[
                "s", "sec", "secs", "second", "seconds",
                // Over clock times, which are read as they stand.
                "min:s", "min:sec", "m:s", "m:ss", "mm:ss", "h:mm:ss", "hh:mm:ss",
            ],
            1.0,
        ),
        unit(&["ms", "millisecond", "milliseconds"], 1e-3),
        unit(&["min", "mins", "minute", "minutes"], 60.0),
        unit(&["h", "hr", "hour", "hours"], 3600.0),
    ],
};

/// Torque, N·m.
pub static TORQUE: Dimension = Dimension {
    name: "torque",
    wants: "N·m, lb-ft or kgf·m",
    example: "204 Nm",
    units: &[
        unit(
            &[
                "N·m",
                "nm",
                "newtonmetre",
                "newtonmetres",
                "newtonmeter",
                "newtonmeters",
            ],
            1.0,
        ),
        unit(
            &[
                "lb-ft",
                "lbft",
                "lbsft",
                "ftlb",
                "ftlbs",
                "lbfft",
                "ftlbf",
                "lb/ft",
                "lbs/ft",
                "ft/lb",
                "ft/lbs",
                "poundfeet",
                "poundfoot",
                "footpound",
                "footpounds",
            ],
            POUND_FOOT,
        ),
        unit(
            &["lb-in", "lbin", "inlb", "inlbs", "lbfin", "inlbf"],
            POUND_FOOT / 12.0,
        ),
        unit(
            &["kgf·m", "kgfm", "kgm", "mkg", "mkgf", "mkp", "kpm", "mkgs"],
            STANDARD_GRAVITY,
        ),
        unit(&["dan·m", "danm"], 10.0),
    ],
};

/// Power, W.
pub static POWER: Dimension = Dimension {
    name: "power",
    wants: "kW, bhp or PS",
    example: "150 kW",
    units: &[
        unit(&["kW", "kilowatt", "kilowatts"], 1e3),
        unit(&["bhp", "hp", "whp", "horsepower"], HORSEPOWER),
        unit(
            &["PS", "cv", "ch", "pk", "hk", "metrichp"],
            METRIC_HORSEPOWER,
        ),
        unit(&["W", "watt", "watts"], 1.0),
    ],
};

/// Engine speed, rpm: the one quantity that stays as the trade writes it.
pub static ENGINE_SPEED: Dimension = Dimension {
    name: "engine speed",
    wants: "rpm",
    example: "7200 rpm",
    units: &[
        unit(
            &[
                "rpm",
                "r/min",
                "rev/min",
                "revs/min",
                "revs",
                "1/min",
                "min1",
                "u/min",
                "tr/min",
                "t/min",
                "giri/min",
                "obr/min",
                "ot/min",
                "omw/min",
                "varv/min",
                "kierr/min",
            ],
            1.0,
        ),
        unit(&["rad/s"], super::RPM_PER_RAD_PER_S),
        unit(&["rev/s", "r/s", "rps"], 60.0),
    ],
};

/// How fast a sweep goes, rpm/s.
pub static SWEEP_RATE: Dimension = Dimension {
    name: "sweep rate",
    wants: "rpm/s",
    example: "300 rpm/s",
    units: &[
        unit(&["rpm/s", "rpm/sec", "rpmpersecond", "r/min/s"], 1.0),
        unit(&["rad/s2"], super::RPM_PER_RAD_PER_S),
    ],
};

/// Temperature, K.
pub static TEMPERATURE: Dimension = Dimension {
    name: "temperature",
    wants: "°C, °F or K",
    example: "18 °C",
    units: &[
        Unit {
            spellings: &["°C", "c", "degc", "celsius", "degreescelsius"],
            factor: 1.0,
            offset: ZERO_CELSIUS,
        },
        Unit {
            spellings: &["°F", "f", "degf", "fahrenheit", "degreesfahrenheit"],
            factor: 5.0 / 9.0,
            offset: ZERO_CELSIUS - 32.0 * 5.0 / 9.0,
        },
        unit(&["K", "kelvin", "°k"], 1.0),
    ],
};

/// Pressure, Pa.
pub static PRESSURE: Dimension = Dimension {
    name: "pressure",
    wants: "hPa, mbar, kPa, inHg or mmHg",
    example: "1009 hPa",
    units: &[
        unit(&["hPa", "mbar", "mb", "millibar", "millibars"], 100.0),
        unit(&["kPa"], 1e3),
        unit(&["inHg", "\"hg", "in/hg"], INCH_OF_MERCURY),
        unit(&["mmHg", "torr"], MILLIMETRE_OF_MERCURY),
        unit(&["bar"], 1e5),
        unit(&["Pa"], 1.0),
        unit(&["psi"], POUND_FORCE / (INCH * INCH)),
    ],
};

/// Angle, rad.
pub static ANGLE: Dimension = Dimension {
    name: "angle",
    wants: "deg",
    example: "70 deg",
    units: &[
        unit(&["deg", "°", "degs", "degree", "degrees"], DEGREE),
        unit(&["rad", "radian", "radians"], 1.0),
    ],
};

/// Moment of inertia, kg·m².
pub static INERTIA: Dimension = Dimension {
    name: "moment of inertia",
    wants: "kg m2",
    example: "0.12 kg m2",
    units: &[
        unit(&["kg m2", "kgm2"], 1.0),
        unit(&["kg cm2", "kgcm2"], 1e-4),
        unit(&["lb ft2", "lbft2"], POUND * FOOT * FOOT),
        unit(&["lb in2", "lbin2"], POUND * INCH * INCH),
    ],
};

/// Acceleration, m/s². Not among [`DIMENSIONS`]: a lone `g` is a gram unless an acceleration is
/// wanted.
pub static ACCELERATION: Dimension = Dimension {
    name: "acceleration",
    wants: "g or m/s2",
    example: "1.05 g",
    units: &[
        unit(&["g", "gn"], STANDARD_GRAVITY),
        unit(&["m/s2", "m/s^2", "mps2", "m/s/s", "m/sec2"], 1.0),
    ],
};

/// How fast a car turns, rad/s. Not among [`DIMENSIONS`]: `rad/s` alone is an engine speed.
pub static YAW_RATE: Dimension = Dimension {
    name: "yaw rate",
    wants: "deg/s or rad/s",
    example: "25 deg/s",
    units: &[
        unit(
            &[
                "deg/s",
                "°/s",
                "dps",
                "deg/sec",
                "°/sec",
                "degrees/s",
                "degree/s",
                "degs/s",
            ],
            DEGREE,
        ),
        unit(&["rad/s", "rad/sec"], 1.0),
    ],
};

/// Density, kg/m³.
pub static DENSITY: Dimension = Dimension {
    name: "density",
    wants: "kg/m3",
    example: "1.225 kg/m3",
    units: &[
        unit(&["kg/m3"], 1.0),
        unit(&["g/l"], 1.0),
        unit(&["lb/ft3"], POUND / (FOOT * FOOT * FOOT)),
    ],
};

/// Every dimension, to say what a wrong unit measures.
pub static DIMENSIONS: [&Dimension; 14] = [
    &MASS,
    &LENGTH,
    &AREA,
    &SPEED,
    &TIME,
    &TORQUE,
    &POWER,
    &ENGINE_SPEED,
    &SWEEP_RATE,
    &TEMPERATURE,
    &PRESSURE,
    &ANGLE,
    &INERTIA,
    &DENSITY,
];
