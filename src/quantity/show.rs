//! From base units to what a person reads.

use super::units::{self, Unit};
use super::{Dimension, Quantity};

/// Which units are printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum UnitSystem {
    /// Metres, kilograms, litres.
    #[default]
    Metric,
    /// US customary: inches and feet, pounds, US gallons.
    Us,
    /// Metric with US customary after it in brackets.
    Both,
}

/// Finest print: past 12 decimals an f64 near 1 has little left to say.
const MOST_DECIMALS: usize = 12;
/// From here on plain digits are longer than anyone reads.
const EXPONENT_FROM: f64 = 1e9;

/// Prints an amount given in base units, in a readable unit and to a sensible
/// number of digits: `132 mm`, `132 mm (5.2 in)`. NaN prints as `unknown`; minus
/// nought never appears. The text is read back by [`Quantity::parse`], to the
/// digits printed, except for two units at once, `unknown` and infinity.
///
/// Which unit, and how many decimals:
///
/// | dimension | metric | US |
/// |---|---|---|
/// | length | mm below 1 m (0.1 mm below 10 mm), then m to 1 mm | in below 36 in (0.01 in below 1 in, then 0.1 in), then ft to 0.01 ft |
/// | mass | g below 1 kg (0.1 g below 10 g), then kg to 0.1 kg, to 1 kg from 1000 | oz below 1 lb, then lb, both to 0.1; to 1 lb from 1000 |
/// | volume | mL below 1 L, L to 0.1 L, m³ to 1 L from 1 m³ | US fl oz to 0.1 below 0.1 L (0.01 below 1); US gal to 0.01 below 10, then 0.1; ft³ from 1 m³, to 0.01, to 0.1 from 100 |
/// | area | cm² to 0.1 below 0.01 m², then m² to 0.001 | in² to 0.01 below 0.1 ft², then ft² to 0.01 |
/// | density | kg/m³ to 0.1 | lb/ft³ to 0.01 |
/// | pressure | kPa to 0.01 below 0.1 bar, then bar | psi; both three digits, at most 2 decimals |
/// | weight per area | g/m² below 1 kg/m², then kg/m² to 0.01 | oz/yd² to 0.1 below 1 kg/m², then lb/ft² to 0.001 |
/// | temperature | °C to 0.1 | °F to 0.1 |
/// | force | N, three digits, at most 1 decimal | lbf likewise |
/// | energy | J, three digits, at most 1 decimal, 2 below 1 J | ft·lbf likewise |
/// | speed | m/s to 0.01 | mph to 0.01 |
/// | flow | L/min to 0.1 | US gal/min to 0.1 |
/// | second moment | m⁴, four digits | ft⁴, four digits |
/// | angle, salinity, fraction, time | ° to 0.01; g/kg to 0.1; % to 0.1; s to 0.1, from 120 s min to 0.1, from 120 min h to 0.01 | the same |
///
/// A unit changes where the printed number would reach the limit, so 999.6 mm
/// prints as `1.000 m`. From a thousand million units on, four digits and an
/// exponent are printed, but of a volume, which is always in plain digits.
#[must_use]
pub fn show(value: f64, dimension: Dimension, system: UnitSystem) -> String {
    in_systems(system, |us| {
        let form = Form::choose(value.abs(), dimension, us);
        form.with_unit(&form.number(value, form.unit.offset))
    })
}

/// As [`show`], with as many decimals as it takes for the last printed place to
/// be no coarser than `resolution`, in base units (for a temperature, a
/// difference). A resolution that is not a positive number is passed over.
#[must_use]
pub fn show_with(value: f64, dimension: Dimension, resolution: f64, system: UnitSystem) -> String {
    in_systems(system, |us| {
        let mut form = Form::choose(value.abs(), dimension, us);
        if resolution > 0.0 && resolution.is_finite() {
            form.decimals = decimals_for_step(resolution / form.unit.factor);
        }
        form.with_unit(&form.number(value, form.unit.offset))
    })
}

/// Prints a place's three coordinates, given in metres, in one unit: metres to
/// 1 mm, US inches to 0.1 in. `1.811, 0.397, 0.344 m`.
#[must_use]
pub fn show_point(point_m: [f64; 3], system: UnitSystem) -> String {
    in_systems(system, |us| {
        let form = if us {
            Form::fixed(units::INCH, 1)
        } else {
            Form::fixed(units::METRE, 3)
        };
        let numbers = point_m.map(|value| form.number(value, 0.0));
        form.with_unit(&numbers.join(", "))
    })
}

/// A metric unit that a sentence is written in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Metric {
    /// mm.
    Millimetre,
    /// m.
    Metre,
    /// kg.
    Kilogram,
    /// L.
    Litre,
    /// mL.
    Millilitre,
    /// m².
    SquareMetre,
    /// J.
    Joule,
    /// N m, of a moment.
    NewtonMetre,
    /// N.
    Newton,
    /// m/s.
    MetrePerSecond,
    /// kg/m³.
    KilogramPerCubicMetre,
    /// Degrees, the same in all systems.
    Degree,
}

impl Metric {
    /// The US unit that stands for it where numbers stand bare.
    fn us(self) -> Unit {
        match self {
            Self::Millimetre => units::INCH,
            Self::Metre => units::FOOT,
            Self::Kilogram => units::POUND,
            Self::Litre => units::US_GALLON,
            Self::Millilitre => units::US_FLUID_OUNCE,
            Self::SquareMetre => units::SQUARE_FOOT,
            Self::Joule | Self::NewtonMetre => units::FOOT_POUND,
            Self::Newton => units::POUND_FORCE,
            Self::MetrePerSecond => units::MILE_PER_HOUR,
            Self::KilogramPerCubicMetre => units::LB_PER_FT3,
            Self::Degree => units::DEGREE,
        }
    }

    /// The unit and how many of it go into one base unit.
    fn unit(self) -> (Unit, f64) {
        match self {
            Self::Millimetre => (units::MILLIMETRE, 1e3),
            Self::Metre => (units::METRE, 1.0),
            Self::Kilogram => (units::KILOGRAM, 1.0),
            Self::Litre => (units::LITRE, 1e3),
            Self::Millilitre => (units::MILLILITRE, 1e6),
            Self::SquareMetre => (units::SQUARE_METRE, 1.0),
            Self::Joule => (units::JOULE, 1.0),
            Self::NewtonMetre => (units::NEWTON_METRE, 1.0),
            Self::Newton => (units::NEWTON, 1.0),
            Self::MetrePerSecond => (units::METRE_PER_SECOND, 1.0),
            Self::KilogramPerCubicMetre => (units::KG_PER_M3, 1.0),
            Self::Degree => (units::DEGREE, 1.0),
        }
    }
}

/// The unit of bare numbers, as along an axis: its symbol, and how many of it go into one base
/// unit. Of both systems at once it is the metric one.
#[must_use]
pub fn bare_unit(metric: Metric, system: UnitSystem) -> (&'static str, f64) {
    match system {
        UnitSystem::Us => {
            let unit = metric.us();
            (unit.symbol, 1.0 / unit.factor)
        }
        UnitSystem::Metric | UnitSystem::Both => {
            let (unit, per_base) = metric.unit();
            (unit.symbol, per_base)
        }
    }
}

/// Prints an amount given in base units for a sentence: in one metric unit whatever its
/// size, to so many decimals; in US units as [`show`] does.
#[must_use]
pub fn show_in(value: f64, metric: Metric, decimals: usize, system: UnitSystem) -> String {
    show_within(&[value], "", metric, decimals, system)
}

/// As [`show`], an amount that is held to limits: with more decimals, up to
/// three (one in US units), where a limit would read the same without being so. What misses
/// its limit by less than that is shown one last place off it, never on it. The limits
/// themselves are shown by [`show_limit`].
#[must_use]
pub fn show_beside(value: f64, limits: &[f64], dimension: Dimension, system: UnitSystem) -> String {
    in_systems(system, |us| {
        let form = Form::choose(value.abs(), dimension, us);
        let per_base = 1.0 / form.unit.factor;
        form.beside(value, limits, per_base, us)
    })
}

/// Prints a limit as [`show_in`], with as many of the decimals of [`show_beside`] as it has.
#[must_use]
pub fn show_limit(limit: f64, metric: Metric, system: UnitSystem) -> String {
    in_systems(system, |us| {
        let (mut form, per_base) = Form::in_sentence(limit.abs(), metric, 0, us);
        let number = limit * per_base;
        let most = form.decimals + most_more(form.unit, us);
        while form.decimals < most && !is_near(form.rounded(number), number) {
            form.decimals += 1;
        }
        form.with_unit(&form.digits_of(number))
    })
}

/// As [`show_in`], an amount that is held to limits, as [`show_beside`].
#[must_use]
pub fn show_in_beside(
    value: f64,
    limits: &[f64],
    metric: Metric,
    decimals: usize,
    system: UnitSystem,
) -> String {
    in_systems(system, |us| {
        let (form, per_base) = Form::in_sentence(value.abs(), metric, decimals, us);
        form.beside(value, limits, per_base, us)
    })
}

/// As [`show_in`], several amounts with one unit behind the last: `2 ± 0.5 kg`,
/// `between 3 and 12 mm`. `joint` stands between them.
#[must_use]
pub fn show_within(
    values: &[f64],
    joint: &str,
    metric: Metric,
    decimals: usize,
    system: UnitSystem,
) -> String {
    in_systems(system, |us| {
        let size = values
            .iter()
            .fold(0.0, |size: f64, value| size.max(value.abs()));
        let (form, per_base) = Form::in_sentence(size, metric, decimals, us);
        let numbers: Vec<String> = values
            .iter()
            .map(|value| form.digits_of(value * per_base))
            .collect();
        form.with_unit(&numbers.join(joint))
    })
}

pub(super) fn show_quantity(
    quantity: Quantity,
    dimension: Dimension,
    system: UnitSystem,
) -> String {
    let Quantity { value, spread } = quantity;
    if spread == 0.0 {
        return show(value, dimension, system);
    }
    in_systems(system, |us| {
        let mut form = Form::choose(value.abs().max(spread.abs()), dimension, us);
        form.decimals = form
            .decimals
            .max(decimals_for_step(spread.abs() / form.unit.factor));
        let value = form.number(value, form.unit.offset);
        let spread = form.number(spread, 0.0);
        if dimension == Dimension::Fraction {
            // "0.4 ± 5 %" would leave open what 0.4 is.
            return format!("{} ± {}", form.with_unit(&value), form.with_unit(&spread));
        }
        form.with_unit(&format!("{value} ± {spread}"))
    })
}

/// Prints in metric, in US units, or in both where they differ.
fn in_systems(system: UnitSystem, print: impl Fn(bool) -> String) -> String {
    match system {
        UnitSystem::Metric => print(false),
        UnitSystem::Us => print(true),
        UnitSystem::Both => {
            let (metric, us) = (print(false), print(true));
            if metric == us {
                metric
            } else {
                format!("{metric} ({us})")
            }
        }
    }
}

/// A unit and how finely it is printed.
struct Form {
    unit: Unit,
    decimals: usize,
}

impl Form {
    /// How a sentence says an amount of this size, in base units, and how many of the
    /// form's unit go into one base unit.
    fn in_sentence(size: f64, metric: Metric, decimals: usize, us: bool) -> (Self, f64) {
        let (unit, per_base) = metric.unit();
        if us && unit != units::DEGREE {
            let form = Self::choose(size, unit.dimension, true);
            let per_base = 1.0 / form.unit.factor;
            (form, per_base)
        } else {
            (Self::fixed(unit, decimals), per_base)
        }
    }

    /// The form for an amount of this size, in base units.
    fn choose(size: f64, dimension: Dimension, us: bool) -> Self {
        match dimension {
            Dimension::Length => length(size, us),
            Dimension::Mass => mass(size, us),
            Dimension::Volume => volume(size, us),
            Dimension::Area => area(size, us),
            Dimension::ArealDensity => areal_density(size, us),
            Dimension::Time => time(size),
            Dimension::Pressure if us => Self::digits(units::PSI, size, 3, 2),
            Dimension::Pressure if size > 0.0 && size < 0.1 * units::BAR.factor => {
                Self::fixed(units::KILOPASCAL, 2)
            }
            Dimension::Pressure => Self::digits(units::BAR, size, 3, 2),
            Dimension::Force => Self::digits(
                if us {
                    units::POUND_FORCE
                } else {
                    units::NEWTON
                },
                size,
                3,
                1,
            ),
            Dimension::Energy => {
                let unit = if us { units::FOOT_POUND } else { units::JOULE };
                let below_one = prints_below(size / unit.factor, 1.0, 0.01);
                Self::digits(unit, size, 3, 1 + usize::from(below_one))
            }
            Dimension::SecondMoment => Self::digits(
                if us { units::FOOT_4 } else { units::METRE_4 },
                size,
                4,
                MOST_DECIMALS,
            ),
            Dimension::Density if us => Self::fixed(units::LB_PER_FT3, 2),
            Dimension::Density => Self::fixed(units::KG_PER_M3, 1),
            Dimension::Temperature if us => Self::fixed(units::FAHRENHEIT, 1),
            Dimension::Temperature => Self::fixed(units::CELSIUS, 1),
            Dimension::Speed if us => Self::fixed(units::MILE_PER_HOUR, 2),
            Dimension::Speed => Self::fixed(units::METRE_PER_SECOND, 2),
            Dimension::Flow if us => Self::fixed(units::US_GALLON_PER_MINUTE, 1),
            Dimension::Flow => Self::fixed(units::LITRE_PER_MINUTE, 1),
            Dimension::Angle => Self::fixed(units::DEGREE, 2),
            Dimension::Salinity => Self::fixed(units::G_PER_KG, 1),
            Dimension::Fraction => Self::fixed(units::PERCENT, 1),
        }
    }

    fn fixed(unit: Unit, decimals: usize) -> Self {
        Self { unit, decimals }
    }

    /// As many decimals as show `digits` digits, at most `most`.
    fn digits(unit: Unit, size: f64, digits: u8, most: usize) -> Self {
        let decimals = decimals_for_digits(size / unit.factor, digits).min(most);
        Self { unit, decimals }
    }

    /// The number alone, in this unit.
    fn number(&self, value: f64, offset: f64) -> String {
        self.digits_of((value - offset) / self.unit.factor)
    }

    /// A number of this unit as it is printed.
    fn digits_of(&self, number: f64) -> String {
        if number.is_nan() {
            return "unknown".to_owned();
        }
        if number.is_infinite() {
            return if number > 0.0 {
                "infinite"
            } else {
                "-infinite"
            }
            .to_owned();
        }
        let is_volume = self.unit.dimension == Dimension::Volume;
        if number.abs() >= EXPONENT_FROM && !is_volume {
            return format!("{number:.3e}");
        }
        let text = format!("{number:.*}", self.decimals);
        match text.strip_prefix('-') {
            Some(digits) if digits.chars().all(|c| matches!(c, '0' | '.')) => digits.to_owned(),
            _ => text,
        }
    }

    /// An amount in base units, so finely that no limit reads the same without being so.
    fn beside(mut self, value: f64, limits: &[f64], per_base: f64, us: bool) -> String {
        let most = self.decimals + most_more(self.unit, us);
        let mut number = value * per_base;
        for limit in limits.iter().filter(|limit| **limit != value) {
            let at = limit * per_base;
            let reads_as_it = |form: &Self, number| form.digits_of(at) == form.digits_of(number);
            while self.decimals < most && reads_as_it(&self, number) {
                self.decimals += 1;
            }
            if reads_as_it(&self, number) {
                number = self.rounded(at) + (value - limit).signum() * self.step();
            }
        }
        self.with_unit(&self.digits_of(number))
    }

    /// One last place.
    fn step(&self) -> f64 {
        10_f64.powi(-i32::try_from(self.decimals).unwrap_or(i32::MAX))
    }

    /// A number of this unit as its digits have it.
    fn rounded(&self, number: f64) -> f64 {
        (number / self.step()).round() * self.step()
    }

    fn with_unit(&self, number: &str) -> String {
        match number {
            "unknown" | "infinite" | "-infinite" => number.to_owned(),
            _ if self.unit == units::DEGREE => format!("{number}°"),
            _ => format!("{number} {}", self.unit.symbol),
        }
    }
}

/// Decimals that a limit, and what is held to it, may have beyond the usual: metric limits are
/// mostly whole, one in US units is mostly not and would look finer than it is.
fn most_more(unit: Unit, us: bool) -> usize {
    if us && unit != units::DEGREE { 1 } else { 3 }
}

/// Whether two numbers differ by rounding alone.
fn is_near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * b.abs().max(1.0)
}

/// Whether `size` would print below `limit` in steps of `step`, all in one
/// unit.
fn prints_below(size: f64, limit: f64, step: f64) -> bool {
    size < limit - 0.5 * step
}

fn length(size: f64, us: bool) -> Form {
    if us {
        let inches = size / units::INCH.factor;
        return if inches == 0.0 {
            Form::fixed(units::INCH, 0)
        } else if prints_below(inches, 1.0, 0.01) {
            Form::fixed(units::INCH, 2)
        } else if prints_below(inches, 36.0, 0.1) {
            Form::fixed(units::INCH, 1)
        } else {
            Form::fixed(units::FOOT, 2)
        };
    }
    let millimetres = size / units::MILLIMETRE.factor;
    if millimetres == 0.0 {
        Form::fixed(units::MILLIMETRE, 0)
    } else if prints_below(millimetres, 10.0, 0.1) {
        Form::fixed(units::MILLIMETRE, 1)
    } else if prints_below(millimetres, 1000.0, 1.0) {
        Form::fixed(units::MILLIMETRE, 0)
    } else {
        Form::fixed(units::METRE, 3)
    }
}

fn mass(size: f64, us: bool) -> Form {
    if us {
        let pounds = size / units::POUND.factor;
        return if pounds != 0.0 && prints_below(pounds, 1.0, 0.1 / 16.0) {
            Form::fixed(units::OUNCE, 1)
        } else {
            Form::fixed(units::POUND, usize::from(prints_below(pounds, 1e3, 0.1)))
        };
    }
    let grams = size / units::GRAM.factor;
    if grams == 0.0 {
        Form::fixed(units::KILOGRAM, 1)
    } else if prints_below(grams, 10.0, 0.1) {
        Form::fixed(units::GRAM, 1)
    } else if prints_below(grams, 1000.0, 1.0) {
        Form::fixed(units::GRAM, 0)
    } else {
        Form::fixed(units::KILOGRAM, usize::from(prints_below(size, 1e3, 0.1)))
    }
}

fn volume(size: f64, us: bool) -> Form {
    let litres = size / units::LITRE.factor;
    let below_a_cubic_metre = prints_below(litres, 1000.0, 0.1);
    if us {
        let gallons = size / units::US_GALLON.factor;
        let ounces = size / units::US_FLUID_OUNCE.factor;
        return if litres != 0.0 && prints_below(litres, 0.1, 1e-3) {
            let decimals = 1 + usize::from(prints_below(ounces, 1.0, 0.01));
            Form::fixed(units::US_FLUID_OUNCE, decimals)
        } else if !below_a_cubic_metre {
            let cubic_feet = size / units::CUBIC_FOOT.factor;
            let decimals = 1 + usize::from(prints_below(cubic_feet, 100.0, 0.01));
            Form::fixed(units::CUBIC_FOOT, decimals)
        } else if prints_below(gallons, 10.0, 0.01) {
            Form::fixed(units::US_GALLON, 2)
        } else {
            Form::fixed(units::US_GALLON, 1)
        };
    }
    if !below_a_cubic_metre {
        Form::fixed(units::CUBIC_METRE, 3)
    } else if litres != 0.0 && prints_below(litres, 1.0, 1e-3) {
        Form::fixed(units::MILLILITRE, 0)
    } else {
        Form::fixed(units::LITRE, 1)
    }
}

fn area(size: f64, us: bool) -> Form {
    if us {
        let square_inches = size / units::SQUARE_INCH.factor;
        return if size != 0.0 && prints_below(square_inches, 14.4, 0.01) {
            Form::fixed(units::SQUARE_INCH, 2)
        } else {
            Form::fixed(units::SQUARE_FOOT, 2)
        };
    }
    let square_centimetres = size / units::SQUARE_CENTIMETRE.factor;
    if size != 0.0 && prints_below(square_centimetres, 100.0, 0.1) {
        Form::fixed(units::SQUARE_CENTIMETRE, 1)
    } else {
        Form::fixed(units::SQUARE_METRE, 3)
    }
}

fn areal_density(size: f64, us: bool) -> Form {
    let heavy = !prints_below(size, 1.0, 1e-3);
    match (us, heavy) {
        (true, false) => Form::fixed(units::OZ_PER_YD2, 1),
        (true, true) => Form::fixed(units::LB_PER_FT2, 3),
        (false, false) => Form::fixed(units::G_PER_M2, 0),
        (false, true) => Form::fixed(units::KG_PER_M2, 2),
    }
}

fn time(size: f64) -> Form {
    if prints_below(size, 120.0, 0.1) {
        Form::fixed(units::SECOND, 1)
    } else if prints_below(size / units::MINUTE.factor, 120.0, 0.1) {
        Form::fixed(units::MINUTE, 1)
    } else {
        Form::fixed(units::HOUR, 2)
    }
}

/// The fewest decimals whose last place is no coarser than `step`. One part in
/// a thousand million is allowed for rounding, so that 0.001 asks for 3.
fn decimals_for_step(step: f64) -> usize {
    let mut place = 1.0;
    let mut decimals = 0;
    while place > step * (1.0 + 1e-9) && decimals < MOST_DECIMALS {
        decimals += 1;
        place = 10_f64.powi(-i32::try_from(decimals).unwrap_or(i32::MAX));
    }
    decimals
}

/// The fewest decimals that show this many digits of `number`.
fn decimals_for_digits(number: f64, digits: u8) -> usize {
    if number == 0.0 || !number.is_finite() {
        return 0;
    }
    let enough = 10_f64.powi(i32::from(digits) - 1);
    let mut scaled = number.abs();
    let mut decimals = 0;
    // Rounding up to `enough` gains the digit: 99.96 has three as 100.
    while prints_below(scaled, enough, 1.0) && decimals < MOST_DECIMALS {
        scaled *= 10.0;
        decimals += 1;
    }
    decimals
}

#[cfg(test)]
#[path = "show_tests.rs"]
mod tests;
