//! Reading: what is understood, what is refused, and that nothing panics.

use super::*;
use Dimension::{
    Angle, Area, ArealDensity, Density, Energy, Flow, Force, Fraction, Length, Mass, Pressure,
    Salinity, SecondMoment, Speed, Temperature, Time, Volume,
};
use proptest::prelude::*;

fn value(text: &str, dimension: Dimension) -> f64 {
    both(text, dimension).value
}

fn both(text: &str, dimension: Dimension) -> Quantity {
    Quantity::parse(text, dimension).unwrap_or_else(|error| panic!("{error}"))
}

fn refused(text: &str, dimension: Dimension) -> QuantityError {
    match Quantity::parse(text, dimension) {
        Err(error) => error,
        Ok(quantity) => panic!("{text} was read as {quantity:?}"),
    }
}

/// Rounding of a few f64 operations.
fn assert_close(got: f64, expected: f64, what: &str) {
    assert!(
        (got - expected).abs() <= 1e-13 * expected.abs().max(1e-3),
        "{what}: {got} is not {expected}"
    );
}

/// The expected values are written out from the definitions: 1 in = 25.4 mm,
/// 1 lb = 0.45359237 kg (NIST SP 811).
#[test]
fn lengths() {
    for (text, metres) in [
        ("132 mm", 0.132),
        ("12.5cm", 0.125),
        ("3.4 m", 3.4),
        ("3'2\"", 38.0 * 0.0254),
        ("3' 2 1/2\"", 38.5 * 0.0254),
        ("3'-2 1/2\"", 38.5 * 0.0254),
        ("3′2½″", 38.5 * 0.0254),
        ("3’ 2”", 38.0 * 0.0254),
        ("3' 2''", 38.0 * 0.0254),
        ("3'2", 38.0 * 0.0254),
        ("3ft2in", 38.0 * 0.0254),
        ("3ft2.5in", 38.5 * 0.0254),
        ("3 feet 2 inches", 38.0 * 0.0254),
        ("17 3/8 in", 17.375 * 0.0254),
        ("17-3/8\"", 17.375 * 0.0254),
        ("17⅜ in.", 17.375 * 0.0254),
        ("3/8 in", 0.375 * 0.0254),
        ("½in", 0.5 * 0.0254),
        (".5 in", 0.5 * 0.0254),
        ("2 yd 1 ft", 7.0 * 0.3048),
        ("3 m 40 cm", 3.4),
        ("-3'2\"", -38.0 * 0.0254),
        ("−25 mm", -0.025),
        ("+25 mm", 0.025),
        ("2.5e-3 m", 2.5e-3),
        ("25\u{a0}mm", 0.025),
        ("1.25", 1.25),
        ("-0.4", -0.4),
    ] {
        assert_close(value(text, Length), metres, text);
    }
}

#[test]
fn masses() {
    for (text, kilograms) in [
        ("40 lb", 40.0 * 0.453_592_37),
        ("40LBS", 40.0 * 0.453_592_37),
        ("12 lb 5 oz", 12.3125 * 0.453_592_37),
        ("12lb5oz", 12.3125 * 0.453_592_37),
        ("11 st 4 lb", 158.0 * 0.453_592_37),
        ("250 g", 0.25),
        ("0.13 t", 130.0),
        ("2 kg 300 g", 2.3),
        ("18", 18.0),
    ] {
        assert_close(value(text, Mass), kilograms, text);
    }
}

/// Expected values: exact definitions written out; psi, oz/yd² and lb/ft³ as
/// in NIST SP 811 carried to more digits (lb·g/in², lb/16/yd², lb/ft³).
#[test]
fn everything_else() {
    for (text, dimension, expected) in [
        ("12 deg", Angle, 12.0),
        ("-12.5°", Angle, -12.5),
        ("3.141592653589793 rad", Angle, 180.0),
        ("12 L", Volume, 0.012),
        ("250 ml", Volume, 2.5e-4),
        ("1.5 m³", Volume, 1.5),
        ("40 cm3", Volume, 4e-5),
        ("231 in3", Volume, 3.785_411_784e-3),
        ("1 ft^3", Volume, 0.3048 * 0.3048 * 0.3048),
        ("1 US gal", Volume, 3.785_411_784e-3),
        ("1 U.S. gallon", Volume, 3.785_411_784e-3),
        ("1 imp gal", Volume, 4.546_09e-3),
        ("1025 kg/m3", Density, 1025.0),
        ("1.025 g/cm³", Density, 1025.0),
        (
            "64 lb / ft3",
            Density,
            64.0 * 0.453_592_37 / 0.028_316_846_592,
        ),
        ("1025", Density, 1025.0),
        ("250 Pa", Pressure, 250.0),
        ("12 kPa", Pressure, 12e3),
        ("200 bar", Pressure, 2e7),
        ("3000 psi", Pressure, 3000.0 * 6_894.757_293_168_361),
        ("1 atm", Pressure, 101_325.0),
        ("200 g/m2", ArealDensity, 0.2),
        ("1.5 kg/m²", ArealDensity, 1.5),
        (
            "6 oz/yd2",
            ArealDensity,
            6.0 * 0.453_592_37 / 16.0 / (0.9144 * 0.9144),
        ),
        ("15 °C", Temperature, 15.0),
        ("-2 C", Temperature, -2.0),
        ("212 °F", Temperature, 100.0),
        ("-40 °F", Temperature, -40.0),
        ("35 g/kg", Salinity, 35.0),
        ("35 ‰", Salinity, 35.0),
        ("35 psu", Salinity, 35.0),
        ("0.25 m2", Area, 0.25),
        ("10 sq ft", Area, 0.929_030_4),
        ("50 N", Force, 50.0),
        ("0.5 kN", Force, 500.0),
        ("10 KN", Force, 10e3),
        ("2 kgf", Force, 19.6133),
        ("1 lbf", Force, 0.453_592_37 * 9.806_65),
        ("15 J", Energy, 15.0),
        ("1 ft-lbf", Energy, 0.3048 * 0.453_592_37 * 9.806_65),
        ("0.5 m/s", Speed, 0.5),
        ("3.6 km/h", Speed, 1.0),
        ("1 mph", Speed, 0.447_04),
        ("3 kn", Speed, 3.0 * 1852.0 / 3600.0),
        ("10 KN", Speed, 10.0 * 1852.0 / 3600.0),
        ("90 s", Time, 90.0),
        ("1 h 30 min", Time, 5400.0),
        ("1.5 min", Time, 90.0),
        ("60 L/min", Flow, 1e-3),
        ("1 US gal/min", Flow, 3.785_411_784e-3 / 60.0),
        ("85 %", Fraction, 0.85),
        ("0.85", Fraction, 0.85),
        ("140 %", Fraction, 1.4),
        ("0.333 m⁴", SecondMoment, 0.333),
        (
            "2 ft4",
            SecondMoment,
            2.0 * 0.3048 * 0.3048 * 0.3048 * 0.3048,
        ),
    ] {
        assert_close(value(text, dimension), expected, text);
    }
}

/// 6 oz/yd² cloth with its own weight of epoxy weighs 406.9 g/m² (printed to
/// 0.1): 12 × 0.45359237/16/0.9144² kg/m², derived from the definitions.
#[test]
fn cloth_and_resin() {
    let laminate = 2.0 * value("6 oz/yd2", ArealDensity);
    assert!((laminate - 0.4069).abs() < 0.5e-4, "{laminate}");
}

#[test]
fn kilogram_force_is_standard_gravity() {
    assert_eq!(value("1 kgf", Force), 9.806_65);
}

#[test]
fn spreads() {
    for (text, dimension, expected, spread) in [
        ("40 kg ± 2 kg", Mass, 40.0, 2.0),
        ("40 ± 2 kg", Mass, 40.0, 2.0),
        ("40 kg ± 2", Mass, 40.0, 2.0),
        ("40 ± 2", Mass, 40.0, 2.0),
        ("40 kg +/- 5 %", Mass, 40.0, 2.0),
        ("40 kg +- 500 g", Mass, 40.0, 0.5),
        ("40 ± 5 %", Mass, 40.0, 2.0),
        ("-40 mm ± 5 %", Length, -0.04, 0.002),
        ("-40 ± 3 mm", Length, -0.04, 0.003),
        ("17 ± 1/8 in", Length, 17.0 * 0.0254, 0.125 * 0.0254),
        ("3'2\" ± 1/4\"", Length, 38.0 * 0.0254, 0.25 * 0.0254),
        ("15 °C ± 2 °C", Temperature, 15.0, 2.0),
        ("50 °F ± 9 °F", Temperature, 10.0, 5.0),
        ("50 ± 9 °F", Temperature, 10.0, 5.0),
        ("15 °C ± 9 °F", Temperature, 15.0, 5.0),
        ("40 % ± 5 %", Fraction, 0.4, 0.05),
        ("0.4 ± 0.05", Fraction, 0.4, 0.05),
    ] {
        let quantity = both(text, dimension);
        // °F goes by an offset of 17.8, so a few ulp of that.
        let rounding = if dimension == Temperature {
            1e-13
        } else {
            1e-15
        };
        assert!(
            (quantity.value - expected).abs() <= rounding * expected.abs().max(1.0),
            "{text}: {quantity:?}"
        );
        assert!(
            (quantity.spread - spread).abs() <= 1e-14,
            "{text}: {quantity:?}"
        );
    }
}

#[test]
fn spreads_that_are_refused() {
    for (text, dimension) in [
        ("40 kg ± -2 kg", Mass),
        ("40 kg ± 2 kg ± 1 kg", Mass),
        ("15 °C ± 5 %", Temperature),
        ("0.4 ± 5 %", Fraction),
        ("40 % ± 0.05", Fraction),
        ("3 ft 2 in ± 1", Length),
        ("40 ± 2 lb 3 oz", Mass),
    ] {
        let error = refused(text, dimension);
        assert!(
            matches!(error, QuantityError::Spread { .. }),
            "{text}: {error}"
        );
    }
    assert!(matches!(
        refused("40 kg ± 2 mm", Mass),
        QuantityError::WrongDimension { .. }
    ));
    assert!(matches!(
        refused("40 kg ±", Mass),
        QuantityError::Unreadable { .. }
    ));
    assert!(matches!(
        refused("1e300 kg ± 1e300 %", Mass),
        QuantityError::NotFinite { .. }
    ));
}

/// What each message must contain to be of use.
#[test]
fn refusals_say_what_to_write() {
    for (text, dimension, parts) in [
        (
            "40 lb",
            Length,
            &["\"lb\"", "measures a mass", "a length is wanted", "132 mm"] as &[&str],
        ),
        ("1,5 m", Length, &["comma", "1.5"]),
        ("1,500 kg", Mass, &["comma", "1500"]),
        ("3 gal", Volume, &["US gal", "imp gal"]),
        ("3 Gallons", Volume, &["US gal", "imp gal"]),
        ("3 gal/min", Flow, &["US gal/min"]),
        ("2 tons", Mass, &["\"t\" for 1000 kg"]),
        ("6 oz", ArealDensity, &["a mass", "6 oz/yd2"]),
        ("3 cubits", Length, &["\"cubits\"", "not known", "mm", "ft"]),
        ("12", Volume, &["\"12 L\"", "\"12 US gal\""]),
        ("3000", Pressure, &["\"3000 psi\""]),
        ("1/0 in", Length, &["0 below the line"]),
        ("1e999 kg", Mass, &["not a finite number", "18 kg"]),
        ("1 000 kg", Mass, &["\"000 kg\"", "separator"]),
        ("about 40 kg", Mass, &["about 40 kg", "40 lb"]),
        ("NaN", Mass, &["cannot be read"]),
        ("inf kg", Mass, &["cannot be read"]),
        ("--3 m", Length, &["cannot be read"]),
        ("3' -2\"", Length, &["-2\""]),
        ("3 in 2 ft", Length, &["\"ft\" cannot follow \"in\""]),
        ("1'000 mm", Length, &["\"mm\" cannot follow \"ft\""]),
        ("5 °C 3 °F", Temperature, &["cannot follow"]),
        ("3 ft 14 in", Length, &["14 in is 1 ft or more"]),
        ("5²", Length, &["not known"]),
        ("  ", Mass, &["nothing is written", "18 kg"]),
    ] {
        let message = refused(text, dimension).to_string();
        for part in parts {
            assert!(message.contains(part), "{text}: {message}");
        }
    }
}

#[test]
fn a_number_alone_is_taken_only_where_its_unit_is_obvious() {
    for dimension in Dimension::ALL {
        let obvious = [
            Length,
            Mass,
            Angle,
            Temperature,
            Salinity,
            Density,
            Fraction,
        ];
        let from_number = Quantity::parse_bare(0.5, dimension);
        assert_eq!(from_number, Quantity::parse("0.5", dimension));
        if obvious.contains(&dimension) {
            assert_eq!(from_number, Ok(Quantity::exact(0.5)));
        } else {
            assert!(
                matches!(from_number, Err(QuantityError::MissingUnit { .. })),
                "{dimension:?}"
            );
        }
        for number in [f64::NAN, f64::INFINITY] {
            assert!(matches!(
                Quantity::parse_bare(number, dimension),
                Err(QuantityError::NotFinite { .. })
            ));
        }
    }
}

#[test]
fn a_key_may_insist_on_the_unit() {
    assert_eq!(
        Quantity::parse_needing_unit("4 mm", Length),
        Ok(Quantity::exact(0.004))
    );
    for text in ["4", "4 ± 1"] {
        let error = Quantity::parse_needing_unit(text, Length).unwrap_err();
        assert!(error.to_string().contains("\"4 mm\""), "{error}");
    }
    assert!(Quantity::parse_needing_unit("4 ± 1 mm", Length).is_ok());
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused(text in any::<String>(), which in 0..Dimension::ALL.len()) {
        let read = Quantity::parse(&text, Dimension::ALL[which]);
        if let Ok(quantity) = read {
            prop_assert!(quantity.value.is_finite() && quantity.spread >= 0.0);
        }
    }

    /// Texts made of the characters that mean something, so that the reader's
    /// inner paths are reached.
    #[test]
    fn any_text_of_known_marks_is_read_or_refused(
        text in "[0-9 .,/'\"±%°²³½+\\-eEkgmlbozftinydUSalrC^]{0,24}",
        which in 0..Dimension::ALL.len(),
    ) {
        match Quantity::parse(&text, Dimension::ALL[which]) {
            Ok(quantity) => {
                prop_assert!(quantity.value.is_finite());
                prop_assert!(quantity.spread.is_finite() && quantity.spread >= 0.0);
            }
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }

    #[test]
    fn a_sign_turns_the_whole(feet in 0_u32..100, inches in 0_u32..12) {
        let text = format!("{feet}'{inches}\"");
        let value = value(&text, Length);
        prop_assert_eq!(self::value(&format!("-{text}"), Length), -value);
        let expected = f64::from(12 * feet + inches) * 0.0254;
        prop_assert!((value - expected).abs() <= 1e-14 * (1.0 + expected));
    }
}
