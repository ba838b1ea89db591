//! Printing: the unit and digits chosen, and that print reads back.

use super::*;
use Dimension::{
    Angle, Area, ArealDensity, Density, Energy, Flow, Force, Fraction, Length, Mass, Pressure,
    Salinity, SecondMoment, Speed, Temperature, Time, Volume,
};
use UnitSystem::{Both, Metric, Us};
use proptest::prelude::*;

/// US numbers by hand from 25.4 mm, 0.45359237 kg, 3.785411784 L, 9.80665 m/s².
#[test]
fn units_and_digits() {
    for (value, dimension, metric, us) in [
        (0.132, Length, "132 mm", "5.2 in"),
        (0.0042, Length, "4.2 mm", "0.17 in"),
        (0.009_96, Length, "10 mm", "0.39 in"),
        (0.9996, Length, "1.000 m", "3.28 ft"),
        (3.4, Length, "3.400 m", "11.15 ft"),
        (-0.0254, Length, "-25 mm", "-1.0 in"),
        (0.0, Length, "0 mm", "0 in"),
        (40.0, Mass, "40.0 kg", "88.2 lb"),
        (0.25, Mass, "250 g", "8.8 oz"),
        (0.0, Mass, "0.0 kg", "0.0 lb"),
        (0.012, Volume, "12.0 L", "3.17 US gal"),
        (0.2, Volume, "200.0 L", "52.8 US gal"),
        (0.00025, Volume, "250 mL", "0.07 US gal"),
        (3.3e-5, Volume, "33 mL", "1.1 US fl oz"),
        (3e-6, Volume, "3 mL", "0.10 US fl oz"),
        (7430.8, Mass, "7431 kg", "16382 lb"),
        (6.238, Volume, "6.238 m³", "220.3 ft³"),
        (1.0, Volume, "1.000 m³", "35.31 ft³"),
        (1.6, Area, "1.600 m²", "17.22 ft²"),
        (0.001, Area, "10.0 cm²", "1.55 in²"),
        (999.1026, Density, "999.1 kg/m³", "62.37 lb/ft³"),
        (2e7, Pressure, "200 bar", "2901 psi"),
        (1500.0, Pressure, "1.50 kPa", "0.22 psi"),
        (101_325.0, Pressure, "1.01 bar", "14.7 psi"),
        (0.2, ArealDensity, "200 g/m²", "5.9 oz/yd²"),
        (6.0, ArealDensity, "6.00 kg/m²", "1.229 lb/ft²"),
        (15.0, Temperature, "15.0 °C", "59.0 °F"),
        (49.03, Force, "49.0 N", "11.0 lbf"),
        (2.6, Energy, "2.6 J", "1.9 ft·lbf"),
        (0.2, Speed, "0.20 m/s", "0.45 mph"),
        (1e-3, Flow, "60.0 L/min", "15.9 US gal/min"),
        (1.0 / 3.0, SecondMoment, "0.3333 m⁴", "38.62 ft⁴"),
        (0.99996, SecondMoment, "1.000 m⁴", "115.9 ft⁴"),
        (1.77266, Angle, "1.77°", "1.77°"),
        (35.0, Salinity, "35.0 g/kg", "35.0 g/kg"),
        (0.85, Fraction, "85.0 %", "85.0 %"),
        (42.0, Time, "42.0 s", "42.0 s"),
        (1038.8, Time, "17.3 min", "17.3 min"),
        (9000.0, Time, "2.50 h", "2.50 h"),
    ] {
        assert_eq!(show(value, dimension, Metric), metric);
        assert_eq!(show(value, dimension, Us), us);
        let both = if metric == us {
            metric.to_owned()
        } else {
            format!("{metric} ({us})")
        };
        assert_eq!(show(value, dimension, Both), both);
    }
}

#[test]
fn never_minus_nought_and_nan_is_unknown() {
    for dimension in Dimension::ALL {
        for system in [Metric, Us, Both] {
            for value in [-0.0, -1e-30] {
                let text = show(value, dimension, system);
                assert!(!text.contains("-0"), "{dimension:?}: {text}");
            }
            assert_eq!(show(f64::NAN, dimension, system), "unknown");
            assert_eq!(Quantity::exact(f64::NAN).show(dimension, system), "unknown");
            assert_eq!(show(f64::INFINITY, dimension, system), "infinite");
        }
    }
    assert_eq!(show(-160.0 / 9.0 - 1e-9, Temperature, Us), "0.0 °F");
}

#[test]
fn huge_numbers_stay_short() {
    assert_eq!(show(1.5e300, Length, Metric), "1.500e300 m");
    assert_eq!(show(f64::MAX, Mass, Metric), "1.798e308 kg");
}

/// A volume is in plain digits whatever its size.
#[test]
fn no_volume_has_an_exponent() {
    for (m3, metric, us) in [
        (1e9, "1000000000.000 m³", "35314666721.5 ft³"),
        (-2.5e11, "-250000000000.000 m³", "-8828666680372.2 ft³"),
    ] {
        assert_eq!(show(m3, Volume, Metric), metric);
        assert_eq!(show(m3, Volume, Us), us);
    }
    assert!(!show(1e300, Volume, Both).contains('e'));
}

#[test]
fn resolution_sets_the_decimals() {
    for (value, dimension, resolution, system, text) in [
        (0.132_46, Length, 0.001, Metric, "132 mm"),
        (0.132_46, Length, 0.0001, Metric, "132.5 mm"),
        (0.132_46, Length, 0.001, Us, "5.21 in"),
        (3.4, Length, 0.1, Metric, "3.4 m"),
        (3.4, Length, 1.0, Metric, "3 m"),
        (40.0, Mass, 0.001, Metric, "40.000 kg"),
        (12.345_67, Angle, 0.0001, Metric, "12.3457°"),
        (15.0, Temperature, 1.0, Both, "15 °C (59 °F)"),
        (40.0, Mass, 0.0, Metric, "40.0 kg"),
        (40.0, Mass, f64::NAN, Metric, "40.0 kg"),
    ] {
        assert_eq!(show_with(value, dimension, resolution, system), text);
    }
}

#[test]
fn spreads_are_printed_beside_the_value() {
    let quantity = |value, spread| Quantity { value, spread };
    for (quantity, dimension, system, text) in [
        (quantity(40.0, 2.0), Mass, Metric, "40.0 ± 2.0 kg"),
        (
            quantity(40.0, 2.0),
            Mass,
            Both,
            "40.0 ± 2.0 kg (88.2 ± 4.4 lb)",
        ),
        (quantity(40.0, 0.01), Mass, Metric, "40.00 ± 0.01 kg"),
        (quantity(40.0, 0.0), Mass, Metric, "40.0 kg"),
        (quantity(0.0, 0.005), Length, Metric, "0.0 ± 5.0 mm"),
        (quantity(0.1, 1.5), Length, Metric, "0.100 ± 1.500 m"),
        (quantity(10.0, 5.0), Temperature, Us, "50.0 ± 9.0 °F"),
        (quantity(0.4, 0.05), Fraction, Metric, "40.0 % ± 5.0 %"),
        (quantity(1.5, 0.25), Angle, Metric, "1.50 ± 0.25°"),
    ] {
        assert_eq!(quantity.show(dimension, system), text);
    }
}

/// Half of the last printed place, in base units, taken from the printed text
/// by reading it with a 1 in that place, against nought in the same unit.
fn half_place(text: &str, dimension: Dimension) -> f64 {
    let (number, unit) = text.split_at(
        text.find(|c: char| !matches!(c, '0'..='9' | '.' | '-'))
            .unwrap(),
    );
    let decimals = number.split_once('.').map_or(0, |(_, after)| after.len());
    let one = if decimals == 0 {
        "1".to_owned()
    } else {
        format!("0.{}1", "0".repeat(decimals - 1))
    };
    let read = |number: &str| {
        Quantity::parse(&format!("{number}{unit}"), dimension)
            .unwrap()
            .value
    };
    0.5 * (read(&one) - read("0"))
}

proptest! {
    /// From 1e-5 to 1e4 base units, both signs, and the spread from a
    /// thousandth of the value to the value.
    #[test]
    fn what_is_printed_reads_back_to_the_printed_place(
        exponent in -5.0_f64..4.0,
        negative in any::<bool>(),
        spread_exponent in -3.0_f64..0.0,
        which in 0..Dimension::ALL.len(),
        us in any::<bool>(),
    ) {
        let dimension = Dimension::ALL[which];
        let system = if us { Us } else { Metric };
        let size = 10_f64.powf(exponent);
        let value = if negative { -size } else { size };
        let text = show(value, dimension, system);
        let back = Quantity::parse(&text, dimension).unwrap();
        // Beyond half a place, the rounding of f64 in converting there and back.
        let allowed = half_place(&text, dimension) + 1e-12 * size.max(1e-3);
        prop_assert!((back.value - value).abs() <= allowed, "{} for {}", text, value);
        prop_assert_eq!(back.spread, 0.0);

        let spread = size * 10_f64.powf(spread_exponent);
        let text = Quantity { value, spread }.show(dimension, system);
        let back = Quantity::parse(&text, dimension).unwrap();
        let spread_text = text.split('±').nth(1).unwrap().trim();
        let allowed = half_place(spread_text, dimension) + 1e-12 * size.max(1e-3);
        prop_assert!((back.value - value).abs() <= allowed, "{} for {}", text, value);
        prop_assert!((back.spread - spread).abs() <= allowed, "{} for {}", text, spread);
        prop_assert!(back.spread > 0.0, "{} loses {}", text, spread);
    }

    #[test]
    fn a_finer_resolution_reads_back_finer(
        value in -50.0_f64..50.0,
        places in 0_i32..7,
        which in 0..Dimension::ALL.len(),
        us in any::<bool>(),
    ) {
        let dimension = Dimension::ALL[which];
        let resolution = 10_f64.powi(-places);
        let text = show_with(value, dimension, resolution, if us { Us } else { Metric });
        let back = Quantity::parse(&text, dimension).unwrap().value;
        prop_assert!((back - value).abs() <= 0.5 * resolution + 1e-9, "{} for {}", text, value);
    }
}

#[test]
fn what_just_misses_its_limit_is_not_rounded_onto_it() {
    let limits = [0.05, 0.1];
    for (value, metric, us) in [
        (0.0496, "49.6 mm", "1.95 in"),
        // Less than the last place under: one place under, not on it. 50 mm is 1.9685 in.
        (0.049_98, "49.98 mm", "1.96 in"),
        (0.05 - 1e-9, "49.999 mm", "1.96 in"),
        (0.05, "50 mm", "2.0 in"),
        (0.0804, "80 mm", "3.2 in"),
        // The limit of 100 mm is 3.937 in.
        (0.1002, "100.2 mm", "3.95 in"),
    ] {
        let told = |system| super::show_beside(value, &limits, Dimension::Length, system);
        assert_eq!(told(UnitSystem::Metric), metric);
        assert_eq!(told(UnitSystem::Us), us, "{value}");
        assert_eq!(told(UnitSystem::Both), format!("{metric} ({us})"));
        let said = super::show_in_beside(
            value,
            &limits,
            super::Metric::Millimetre,
            0,
            UnitSystem::Metric,
        );
        assert_eq!(said, metric);
    }
    let deg = super::show_beside(4.999, &[5.0], Dimension::Angle, UnitSystem::Metric);
    assert_eq!(deg, "4.999°");
}

/// In every unit: what is under a limit reads less than the limit does, what is over reads more
/// or the same, as a limit belongs to what it begins.
#[test]
fn a_value_reads_on_its_own_side_of_its_limit() {
    use super::Metric::{Degree, Joule, Kilogram, Litre, Millimetre};
    let number = |text: &str| {
        text.trim_end_matches('°')
            .split(' ')
            .next()
            .unwrap()
            .parse::<f64>()
    };
    for (metric, per_base) in [
        (Millimetre, 1e3),
        (Joule, 1.0),
        (Degree, 1.0),
        (Kilogram, 1.0),
        (Litre, 1e3),
    ] {
        for limit in [5.0, 12.6, 50.0, 75.0] {
            let limit = limit / per_base;
            for off in [0.3, 0.04, 3e-3, 2e-4, 1e-6, 1e-9] {
                for system in [UnitSystem::Metric, UnitSystem::Us] {
                    let told = |value| super::show_in_beside(value, &[limit], metric, 0, system);
                    let at = super::show_limit(limit, metric, system);
                    let [under, over] =
                        [told(limit - off / per_base), told(limit + off / per_base)];
                    // Else in another unit.
                    if [&under, &over]
                        .iter()
                        .all(|text| text.split(' ').nth(1) == at.split(' ').nth(1))
                    {
                        assert!(
                            number(&under).unwrap() < number(&at).unwrap(),
                            "{under}, {at}"
                        );
                        assert!(
                            number(&over).unwrap() >= number(&at).unwrap(),
                            "{over}, {at}"
                        );
                    }
                }
            }
        }
    }
}
