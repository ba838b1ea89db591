//! The units awash reads and prints, each as a factor to the base unit.
//!
//! The factors rest on these international definitions, all exact:
//! - inch 25.4 mm, pound 0.453 592 37 kg: International Yard and Pound
//!   Agreement, 1959; NIST SP 811 (2008), appendix B.
//! - US gallon 231 in³ = 3.785 411 784 L, fluid ounce 1/128 of it: NIST SP 811, appendix B.
//! - imperial gallon 4.546 09 L: UK Weights and Measures Act 1985, schedule 1.
//! - standard gravity 9.806 65 m/s²: 3rd CGPM, 1901.
//! - standard atmosphere 101 325 Pa: 10th CGPM, 1954.
//! - nautical mile 1852 m: Monaco conference, 1929. Statute mile 5280 ft.
//!
//! Everything else is a product of those.

use super::Dimension;
use crate::numerics::STANDARD_GRAVITY_M_S2;

const INCH_M: f64 = 0.0254;
const FOOT_M: f64 = 12.0 * INCH_M;
const YARD_M: f64 = 3.0 * FOOT_M;
const POUND_KG: f64 = 0.453_592_37;
const OUNCE_KG: f64 = POUND_KG / 16.0;
const LITRE_M3: f64 = 1e-3;
const US_GALLON_M3: f64 = 3.785_411_784e-3;
const IMPERIAL_GALLON_M3: f64 = 4.546_09e-3;
const MINUTE_S: f64 = 60.0;
const HOUR_S: f64 = 3600.0;
const POUND_FORCE_N: f64 = POUND_KG * STANDARD_GRAVITY_M_S2;

/// One unit: how it is printed, what it is called when read, and its size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Unit {
    /// As printed; the same for no other unit.
    pub(super) symbol: &'static str,
    /// Spellings understood, without spaces and full stops.
    names: &'static [&'static str],
    pub(super) dimension: Dimension,
    /// Base units in one of this unit.
    pub(super) factor: f64,
    /// Base units at this unit's zero; only °F has one.
    pub(super) offset: f64,
}

const fn unit(
    symbol: &'static str,
    names: &'static [&'static str],
    dimension: Dimension,
    factor: f64,
) -> Unit {
    Unit {
        symbol,
        names,
        dimension,
        factor,
        offset: 0.0,
    }
}

use Dimension::{
    Angle, Area, ArealDensity, Density, Energy, Flow, Force, Fraction, Length, Mass, Pressure,
    Salinity, SecondMoment, Speed, Temperature, Time, Volume,
};

pub(super) const MILLIMETRE: Unit = unit(
    "mm",
    &[
        "mm",
        "millimetre",
        "millimetres",
        "millimeter",
        "millimeters",
    ],
    Length,
    1e-3,
);
pub(super) const METRE: Unit = unit(
    "m",
    &["m", "metre", "metres", "meter", "meters"],
    Length,
    1.0,
);
pub(super) const INCH: Unit = unit("in", &["in", "\"", "inch", "inches"], Length, INCH_M);
pub(super) const FOOT: Unit = unit("ft", &["ft", "'", "foot", "feet"], Length, FOOT_M);

pub(super) const GRAM: Unit = unit(
    "g",
    &["g", "gram", "grams", "gramme", "grammes"],
    Mass,
    1e-3,
);
pub(super) const KILOGRAM: Unit = unit(
    "kg",
    &["kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"],
    Mass,
    1.0,
);
pub(super) const OUNCE: Unit = unit("oz", &["oz", "ounce", "ounces"], Mass, OUNCE_KG);
pub(super) const POUND: Unit = unit("lb", &["lb", "lbs", "pound", "pounds"], Mass, POUND_KG);

pub(super) const DEGREE: Unit = unit("°", &["°", "deg", "degs", "degree", "degrees"], Angle, 1.0);

pub(super) const MILLILITRE: Unit = unit(
    "mL",
    &[
        "mL",
        "ml",
        "millilitre",
        "millilitres",
        "milliliter",
        "milliliters",
    ],
    Volume,
    1e-6,
);
pub(super) const LITRE: Unit = unit(
    "L",
    &["L", "l", "litre", "litres", "liter", "liters"],
    Volume,
    LITRE_M3,
);
pub(super) const CUBIC_METRE: Unit = unit("m³", &["m3", "cum"], Volume, 1.0);
pub(super) const CUBIC_FOOT: Unit = unit(
    "ft³",
    &["ft3", "cuft", "cubicfoot", "cubicfeet"],
    Volume,
    FOOT_M * FOOT_M * FOOT_M,
);
pub(super) const US_GALLON: Unit = unit(
    "US gal",
    &["USgal", "USgallon", "USgallons", "galUS"],
    Volume,
    US_GALLON_M3,
);

pub(super) const US_FLUID_OUNCE: Unit = unit(
    "US fl oz",
    &["USfloz", "USfluidounce", "USfluidounces"],
    Volume,
    US_GALLON_M3 / 128.0,
);

pub(super) const KG_PER_M3: Unit = unit("kg/m³", &["kg/m3"], Density, 1.0);
pub(super) const LB_PER_FT3: Unit = unit(
    "lb/ft³",
    &["lb/ft3", "lbs/ft3", "lb/cuft", "lbs/cuft"],
    Density,
    POUND_KG / (FOOT_M * FOOT_M * FOOT_M),
);

pub(super) const KILOPASCAL: Unit = unit("kPa", &["kPa"], Pressure, 1e3);
pub(super) const BAR: Unit = unit("bar", &["bar", "bars"], Pressure, 1e5);
pub(super) const PSI: Unit = unit(
    "psi",
    &["psi", "lb/in2", "lbf/in2"],
    Pressure,
    POUND_FORCE_N / (INCH_M * INCH_M),
);

pub(super) const G_PER_M2: Unit = unit("g/m²", &["g/m2", "gsm"], ArealDensity, 1e-3);
pub(super) const KG_PER_M2: Unit = unit("kg/m²", &["kg/m2"], ArealDensity, 1.0);
pub(super) const OZ_PER_YD2: Unit = unit(
    "oz/yd²",
    &["oz/yd2", "oz/sqyd"],
    ArealDensity,
    OUNCE_KG / (YARD_M * YARD_M),
);
pub(super) const LB_PER_FT2: Unit = unit(
    "lb/ft²",
    &["lb/ft2", "lbs/ft2", "lb/sqft", "lbs/sqft"],
    ArealDensity,
    POUND_KG / (FOOT_M * FOOT_M),
);

pub(super) const CELSIUS: Unit = unit("°C", &["°C", "C", "degC", "celsius"], Temperature, 1.0);
pub(super) const FAHRENHEIT: Unit = Unit {
    symbol: "°F",
    names: &["°F", "F", "degF", "fahrenheit"],
    dimension: Temperature,
    factor: 5.0 / 9.0,
    offset: -160.0 / 9.0,
};

pub(super) const G_PER_KG: Unit = unit("g/kg", &["g/kg", "‰", "psu"], Salinity, 1.0);

pub(super) const SQUARE_CENTIMETRE: Unit = unit("cm²", &["cm2", "sqcm"], Area, 1e-4);
pub(super) const SQUARE_METRE: Unit = unit("m²", &["m2", "sqm"], Area, 1.0);
pub(super) const SQUARE_INCH: Unit = unit("in²", &["in2", "sqin"], Area, INCH_M * INCH_M);
pub(super) const SQUARE_FOOT: Unit = unit("ft²", &["ft2", "sqft"], Area, FOOT_M * FOOT_M);

pub(super) const NEWTON: Unit = unit("N", &["N", "newton", "newtons"], Force, 1.0);
pub(super) const POUND_FORCE: Unit = unit("lbf", &["lbf"], Force, POUND_FORCE_N);

/// Of a moment, which is no energy but has its dimension.
pub(super) const NEWTON_METRE: Unit = unit("N m", &[], Energy, 1.0);
pub(super) const JOULE: Unit = unit("J", &["J", "joule", "joules"], Energy, 1.0);
pub(super) const FOOT_POUND: Unit = unit(
    "ft·lbf",
    &["ft·lbf", "ft-lbf", "ftlbf", "ft·lb", "ft-lb", "ftlb"],
    Energy,
    FOOT_M * POUND_FORCE_N,
);

pub(super) const METRE_PER_SECOND: Unit = unit("m/s", &["m/s"], Speed, 1.0);
pub(super) const MILE_PER_HOUR: Unit =
    unit("mph", &["mph", "mi/h"], Speed, 5280.0 * FOOT_M / HOUR_S);

pub(super) const SECOND: Unit = unit("s", &["s", "sec", "secs", "second", "seconds"], Time, 1.0);
pub(super) const MINUTE: Unit = unit("min", &["min", "mins", "minute", "minutes"], Time, MINUTE_S);
pub(super) const HOUR: Unit = unit("h", &["h", "hr", "hrs", "hour", "hours"], Time, HOUR_S);

pub(super) const LITRE_PER_MINUTE: Unit =
    unit("L/min", &["L/min", "l/min"], Flow, LITRE_M3 / MINUTE_S);
pub(super) const US_GALLON_PER_MINUTE: Unit = unit(
    "US gal/min",
    &["USgal/min", "USgpm"],
    Flow,
    US_GALLON_M3 / MINUTE_S,
);

pub(super) const PERCENT: Unit = unit("%", &["%", "percent"], Fraction, 0.01);

pub(super) const METRE_4: Unit = unit("m⁴", &["m4"], SecondMoment, 1.0);
pub(super) const FOOT_4: Unit = unit(
    "ft⁴",
    &["ft4"],
    SecondMoment,
    FOOT_M * FOOT_M * FOOT_M * FOOT_M,
);

/// Every unit that is read.
const UNITS: &[Unit] = &[
    MILLIMETRE,
    unit(
        "cm",
        &[
            "cm",
            "centimetre",
            "centimetres",
            "centimeter",
            "centimeters",
        ],
        Length,
        1e-2,
    ),
    METRE,
    INCH,
    FOOT,
    unit("yd", &["yd", "yds", "yard", "yards"], Length, YARD_M),
    GRAM,
    KILOGRAM,
    unit("t", &["t", "tonne", "tonnes"], Mass, 1e3),
    OUNCE,
    POUND,
    unit("st", &["st", "stone", "stones"], Mass, 14.0 * POUND_KG),
    DEGREE,
    unit(
        "rad",
        &["rad", "radian", "radians"],
        Angle,
        180.0 / std::f64::consts::PI,
    ),
    MILLILITRE,
    LITRE,
    CUBIC_METRE,
    unit("cm³", &["cm3", "cc", "cucm"], Volume, 1e-6),
    unit(
        "in³",
        &["in3", "cuin", "cubicinch", "cubicinches"],
        Volume,
        INCH_M * INCH_M * INCH_M,
    ),
    CUBIC_FOOT,
    US_GALLON,
    US_FLUID_OUNCE,
    unit(
        "imp gal",
        &[
            "impgal",
            "imperialgal",
            "imperialgallon",
            "imperialgallons",
            "UKgal",
        ],
        Volume,
        IMPERIAL_GALLON_M3,
    ),
    KG_PER_M3,
    unit("g/cm³", &["g/cm3", "g/cc", "g/mL", "g/ml"], Density, 1e3),
    unit("kg/L", &["kg/L", "kg/l"], Density, 1e3),
    unit("t/m³", &["t/m3"], Density, 1e3),
    LB_PER_FT3,
    unit("Pa", &["Pa"], Pressure, 1.0),
    KILOPASCAL,
    BAR,
    PSI,
    unit("atm", &["atm"], Pressure, 101_325.0),
    G_PER_M2,
    KG_PER_M2,
    OZ_PER_YD2,
    LB_PER_FT2,
    CELSIUS,
    FAHRENHEIT,
    G_PER_KG,
    SQUARE_CENTIMETRE,
    SQUARE_METRE,
    unit("mm²", &["mm2", "sqmm"], Area, 1e-6),
    SQUARE_INCH,
    SQUARE_FOOT,
    NEWTON,
    unit("kN", &["kN"], Force, 1e3),
    unit("kgf", &["kgf"], Force, STANDARD_GRAVITY_M_S2),
    POUND_FORCE,
    JOULE,
    unit("kJ", &["kJ"], Energy, 1e3),
    FOOT_POUND,
    METRE_PER_SECOND,
    unit("km/h", &["km/h", "kph"], Speed, 1e3 / HOUR_S),
    MILE_PER_HOUR,
    unit("kn", &["kn", "knot", "knots"], Speed, 1852.0 / HOUR_S),
    unit("ft/s", &["ft/s"], Speed, FOOT_M),
    SECOND,
    MINUTE,
    HOUR,
    unit("m³/s", &["m3/s"], Flow, 1.0),
    unit("L/s", &["L/s", "l/s"], Flow, LITRE_M3),
    LITRE_PER_MINUTE,
    US_GALLON_PER_MINUTE,
    unit(
        "imp gal/min",
        &["impgal/min", "impgpm"],
        Flow,
        IMPERIAL_GALLON_M3 / MINUTE_S,
    ),
    PERCENT,
    METRE_4,
    FOOT_4,
];

/// Names that mean different amounts in different places, and what to write.
const AMBIGUOUS: &[(&[&str], &str)] = &[
    (
        &["gal", "gals", "gallon", "gallons"],
        "write \"US gal\" (3.785 L) or \"imp gal\" (4.546 L)",
    ),
    (
        &["gal/min", "gallon/min", "gallons/min", "gpm"],
        "write \"US gal/min\" or \"imp gal/min\"",
    ),
    (
        &["ton", "tons"],
        "write \"t\" for 1000 kg, or the weight in \"lb\"",
    ),
];

/// Larger and smaller unit that may stand together, as in `3 ft 2 in`.
const COMPOUNDS: &[(&str, &str)] = &[
    ("yd", "ft"),
    ("yd", "in"),
    ("ft", "in"),
    ("m", "cm"),
    ("m", "mm"),
    ("cm", "mm"),
    ("st", "lb"),
    ("lb", "oz"),
    ("kg", "g"),
    ("h", "min"),
    ("min", "s"),
];

/// What a unit name was found to be.
pub(super) enum Found {
    Unit(&'static Unit),
    /// Holds what to write instead.
    Ambiguous(&'static str),
    Unknown,
}

/// Looks a name up: as spelt first, then without regard to case, where the
/// wanted dimension goes first (so `KN` is a force or a speed as asked).
pub(super) fn find(name: &str, wanted: Dimension) -> Found {
    let name: String = name
        .chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '.' | '^'))
        .collect();
    let as_spelt = UNITS
        .iter()
        .find(|unit| unit.names.contains(&name.as_str()));
    let any_case = |unit: &&Unit| unit.names.iter().any(|known| same(known, &name));
    let found = as_spelt
        .or_else(|| {
            UNITS
                .iter()
                .filter(|unit| unit.dimension == wanted)
                .find(any_case)
        })
        .or_else(|| UNITS.iter().find(any_case));
    if let Some(unit) = found {
        return Found::Unit(unit);
    }
    AMBIGUOUS
        .iter()
        .find(|(names, _)| names.iter().any(|known| same(known, &name)))
        .map_or(Found::Unknown, |(_, advice)| Found::Ambiguous(advice))
}

fn same(a: &str, b: &str) -> bool {
    a.to_lowercase() == b.to_lowercase()
}

/// Whether `smaller` may follow `larger` in one quantity.
pub(super) fn may_follow(larger: &Unit, smaller: &Unit) -> bool {
    COMPOUNDS.contains(&(larger.symbol, smaller.symbol))
}

/// The symbols read for a dimension, for an error message.
pub(super) fn symbols(dimension: Dimension) -> String {
    UNITS
        .iter()
        .filter(|unit| unit.dimension == dimension)
        .map(|unit| unit.symbol)
        .collect::<Vec<_>>()
        .join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_units_share_a_symbol_or_a_spelling() {
        let mut seen = std::collections::HashSet::new();
        for unit in UNITS {
            assert!(seen.insert(format!("printed {}", unit.symbol)), "{unit:?}");
            for name in unit.names {
                assert!(seen.insert((*name).to_owned()), "{name} is there twice");
            }
        }
    }

    #[test]
    fn every_printed_symbol_is_read_as_its_own_unit() {
        for unit in UNITS {
            let typed = unit
                .symbol
                .replace('²', "2")
                .replace('³', "3")
                .replace('⁴', "4");
            match find(&typed, unit.dimension) {
                Found::Unit(found) => assert_eq!(found, unit),
                _ => panic!("{} is not read back", unit.symbol),
            }
        }
    }

    #[test]
    fn every_dimension_has_a_base_unit_or_is_a_plain_number() {
        for dimension in Dimension::ALL {
            if dimension == Fraction {
                continue;
            }
            let base = UNITS.iter().find(|unit| unit.symbol == dimension.symbol());
            let base = base.unwrap_or_else(|| panic!("{dimension:?}"));
            assert_eq!(
                (base.dimension, base.factor, base.offset),
                (dimension, 1.0, 0.0)
            );
        }
    }

    /// NIST SP 811 (2008), appendix B.8, to its seven printed digits, so half
    /// a unit of the seventh digit: 5e-7 of the value at most. The numbers for
    /// psi, lb/ft³, lbf and ft³ were read in print; the rest are from memory
    /// of the same table. Ounce per square yard is the closed form
    /// 0.45359237/16/0.9144² = 0.0339057475.
    #[test]
    fn factors_agree_with_the_published_table() {
        let published = [
            (PSI, 6.894_757e3),
            (LB_PER_FT3, 1.601_846e1),
            (POUND_FORCE, 4.448_222),
            (CUBIC_FOOT, 2.831_685e-2),
            (OUNCE, 2.834_952e-2),
            (OZ_PER_YD2, 3.390_575e-2),
            (LB_PER_FT2, 4.882_428),
            (SQUARE_FOOT, 9.290_304e-2),
            (SQUARE_INCH, 6.4516e-4),
            (US_GALLON, 3.785_412e-3),
            (US_GALLON_PER_MINUTE, 6.309_020e-5),
            (FOOT_POUND, 1.355_818),
            (MILE_PER_HOUR, 4.4704e-1),
            (FOOT_4, 8.630_975e-3),
        ];
        for (unit, factor) in published {
            let error = (unit.factor / factor - 1.0).abs();
            assert!(error < 5e-7, "{}: off by {error:e}", unit.symbol);
        }
    }
}
