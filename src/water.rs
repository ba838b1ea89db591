//! The water a craft floats in: its density and where that came from; the
//! pressure at depth; compressed air.
use crate::numerics::STANDARD_GRAVITY_M_S2;
use crate::quantity::{Metric, Piece, Sentence, sentence};

/// Salinities for which the equation of state holds, g/kg.
pub(crate) const SALINITY_RANGE_G_KG: std::ops::RangeInclusive<f64> = 0.0..=42.0;
/// Temperatures for which the equation of state holds, °C.
pub(crate) const TEMPERATURE_RANGE_C: std::ops::RangeInclusive<f64> = -2.0..=40.0;
/// Densities taken for water, kg/m³: wide enough for brine (the Dead Sea has
/// about 1240; from memory), too narrow for g/cm³ or lb/ft³ by mistake. Ours.
pub(crate) const DENSITY_RANGE_KG_M3: std::ops::RangeInclusive<f64> = 900.0..=1300.0;

/// The standard atmosphere, Pa (10th CGPM, 1954).
pub const ATMOSPHERE_PA: f64 = 101_325.0;

/// Water of one density, taken as the same at every depth.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Water {
    /// Density, kg/m³.
    pub density_kg_m3: f64,
    /// Where the density comes from, for display.
    pub about: Sentence,
}

/// Why no water could be made of what was given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum WaterError {
    /// Salinity outside the equation of state.
    #[error(
        "a salinity of {salinity_g_kg} g/kg is outside the 0 to 42 g/kg that the sea water equation covers: \
         sea water has about 35; for brine give the density instead"
    )]
    Salinity {
        /// What was given, g/kg.
        salinity_g_kg: f64,
    },
    /// Temperature outside the equation of state.
    #[error(
        "a water temperature of {temperature_c} °C is outside the -2 to 40 °C that the sea water equation covers: \
         write °F if that was meant, or give the density instead"
    )]
    Temperature {
        /// What was given, °C.
        temperature_c: f64,
    },
    /// Density that is not water's.
    #[error("a density of {density_kg_m3} kg/m³ is outside the 900 to 1300 kg/m³ taken for water: {}", density_hint(*.density_kg_m3))]
    Density {
        /// What was given, kg/m³.
        density_kg_m3: f64,
    },
}

fn density_hint(density_kg_m3: f64) -> &'static str {
    match density_kg_m3 {
        0.9..=1.3 => "if g/cm³ was meant, write it, as in \"1.025 g/cm3\"",
        56.0..=82.0 => "if lb/ft³ was meant, write it, as in \"64 lb/ft3\"",
        _ => "fresh water has about 1000 kg/m³ (1 g/cm³, 62.4 lb/ft³), sea water 1025",
    }
}

impl Water {
    /// Fresh water of lake and river: the trade's round figure, 1000 kg/m³
    /// (1.000 t/m³ in Derrett & Barrass, Ship Stability for Masters and Mates).
    /// The real thing is 0.1 to 0.4 % lighter between 15 and 25 °C: give
    /// salinity and temperature where that matters.
    #[must_use]
    pub fn fresh() -> Self {
        Self::round("fresh water", 1000.0)
    }

    /// Sea water: the trade's round figure, 1025 kg/m³ (1.025 t/m³, same book).
    #[must_use]
    pub fn sea() -> Self {
        Self::round("sea water", 1025.0)
    }

    /// Pool water: no salt, 27 °C, by EOS-80. Ours, no source; pools differ in
    /// warmth, and salted ones carry a few g/kg.
    #[must_use]
    pub fn pool() -> Self {
        Self::computed("pool water", 0.0, 27.0)
    }

    /// The standard atmosphere as a column of this water, m.
    #[must_use]
    pub fn atmosphere_m(&self) -> f64 {
        ATMOSPHERE_PA / (self.density_kg_m3 * STANDARD_GRAVITY_M_S2)
    }

    fn round(kind: &str, density_kg_m3: f64) -> Self {
        Self {
            density_kg_m3,
            about: sentence![
                format!("{kind}, the trade's round "),
                Piece::Amount(density_kg_m3, Metric::KilogramPerCubicMetre, 0)
            ],
        }
    }

    fn computed(kind: &str, salinity_g_kg: f64, temperature_c: f64) -> Self {
        Self {
            density_kg_m3: surface_density_kg_m3(salinity_g_kg, temperature_c),
            about: format!(
                "{kind}: salinity {salinity_g_kg} g/kg, {temperature_c} °C, by EOS-80 at the surface"
            )
            .into(),
        }
    }

    /// Water of a salinity (g/kg) and a temperature (°C), at the surface, by
    /// the one-atmosphere equation of state EOS-80 (Fofonoff & Millard, UNESCO
    /// Technical Papers in Marine Science 44, 1983), which holds from 0 to
    /// 42 g/kg and −2 to 40 °C.
    ///
    /// The equation wants practical salinity and the IPTS-68 temperature scale.
    /// g/kg and ‰ are taken as practical salinity (ocean water of practical
    /// salinity 35 holds 35.165 g/kg: 0.13 kg/m³), today's °C as IPTS-68 (at
    /// most 0.01 °C apart in this range).
    ///
    /// # Errors
    /// [`WaterError::Salinity`] and [`WaterError::Temperature`] outside those
    /// ranges or for a value that is not a number.
    pub fn from_salinity(salinity_g_kg: f64, temperature_c: f64) -> Result<Self, WaterError> {
        if !SALINITY_RANGE_G_KG.contains(&salinity_g_kg) {
            return Err(WaterError::Salinity { salinity_g_kg });
        }
        if !TEMPERATURE_RANGE_C.contains(&temperature_c) {
            return Err(WaterError::Temperature { temperature_c });
        }
        Ok(Self::computed("measured", salinity_g_kg, temperature_c))
    }

    /// As [`Self::from_salinity`], with what lies outside the ranges taken as their end:
    /// for what a ± may reach.
    pub(crate) fn near_salinity(salinity_g_kg: f64, temperature_c: f64) -> Self {
        let within = |value: f64, range: std::ops::RangeInclusive<f64>| {
            value.max(*range.start()).min(*range.end())
        };
        Self::computed(
            "water",
            within(salinity_g_kg, SALINITY_RANGE_G_KG),
            within(temperature_c, TEMPERATURE_RANGE_C),
        )
    }

    /// Water of a density that was measured or chosen, kg/m³.
    ///
    /// # Errors
    /// [`WaterError::Density`] outside 900 to 1300 kg/m³ or for a value that is
    /// not a number.
    pub fn from_density(density_kg_m3: f64) -> Result<Self, WaterError> {
        if !DENSITY_RANGE_KG_M3.contains(&density_kg_m3) {
            return Err(WaterError::Density { density_kg_m3 });
        }
        Ok(Self {
            density_kg_m3,
            about: "water of the density given".into(),
        })
    }

    /// Pressure over the surface's at a depth, Pa: `ρ g h`. The water's own
    /// squeeze is left out: 0.02 % at 100 m in sea water.
    #[must_use]
    pub fn pressure_over_surface_pa(&self, depth_m: f64) -> f64 {
        self.density_kg_m3 * STANDARD_GRAVITY_M_S2 * depth_m
    }
}

/// Air at 20 °C compressed to a pressure over the surrounding atmosphere (Pa),
/// kg/m³: `p M / (Z R T)` with dry air's molar mass and its compressibility
/// factor Z interpolated every 25 bar up to 350 bar, held past that.
///
/// Z from the equation of state of Lemmon, Jacobsen, Penoncello & Friend, J. Phys.
/// Chem. Ref. Data 29 (2000) 331, as computed by the Python package CoolProp 6 at
/// 293.15 K. R: CODATA 2018. Ten degrees more or less change the mass at one
/// pressure by about 4 %.
#[must_use]
pub fn air_density_kg_m3(over_pa: f64) -> f64 {
    const STEP_PA: f64 = 25e5;
    const Z: [f64; 15] = [
        0.999_62, 0.992_13, 0.987_80, 0.986_49, 0.988_28, 0.993_25, 1.001_40, 1.012_60, 1.026_64,
        1.043_22, 1.062_05, 1.082_80, 1.105_21, 1.129_02, 1.154_00,
    ];
    const MOLAR_MASS_KG: f64 = 0.028_965_46;
    const GAS_CONSTANT: f64 = 8.314_462_618;
    const TEMPERATURE_K: f64 = 293.15;
    let place = (over_pa / STEP_PA).clamp(0.0, (Z.len() - 1) as f64);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to the table"
    )]
    let below = (place as usize).min(Z.len() - 2);
    let share = place - below as f64;
    let z = Z[below] * (1.0 - share) + Z[below + 1] * share;
    (over_pa + ATMOSPHERE_PA) * MOLAR_MASS_KG / (z * GAS_CONSTANT * TEMPERATURE_K)
}

/// EOS-80 at one atmosphere (Fofonoff & Millard 1983, UNESCO TPMS 44, equations
/// 13 and 14; from Millero & Poisson, Deep-Sea Research 28A (1981) 625): with S
/// in practical salinity and t in °C (IPTS-68),
/// `ρ = ρw(t) + A(t) S + B(t) S^(3/2) + C S²`, ρ in kg/m³. Holds for S 0 to 42,
/// t −2 to 40; standard error 0.0036 kg/m³.
fn surface_density_kg_m3(salinity: f64, temperature_c: f64) -> f64 {
    const PURE_WATER: [f64; 6] = [
        999.842_594,
        6.793_952e-2,
        -9.095_290e-3,
        1.001_685e-4,
        -1.120_083e-6,
        6.536_332e-9,
    ];
    const A: [f64; 5] = [8.244_93e-1, -4.0899e-3, 7.6438e-5, -8.2467e-7, 5.3875e-9];
    const B: [f64; 3] = [-5.724_66e-3, 1.0227e-4, -1.6546e-6];
    const C: f64 = 4.8314e-4;
    let at = |coefficients: &[f64]| {
        coefficients
            .iter()
            .rev()
            .fold(0.0, |sum, coefficient| sum * temperature_c + coefficient)
    };
    at(&PURE_WATER) + at(&A) * salinity + at(&B) * salinity.powf(1.5) + C * salinity * salinity
}

/// Temperature at which water of a salinity (g/kg) freezes at the surface, °C, by the
/// formula of Millero in Fofonoff & Millard, UNESCO Technical Papers in Marine Science
/// 44, 1983 (from memory, held to its check value).
pub(crate) fn freezing_point_c(salinity_g_kg: f64) -> f64 {
    let s = salinity_g_kg;
    (-0.0575 + 1.710_523e-3 * s.sqrt() - 2.154_996e-4 * s) * s
}

#[cfg(test)]
mod tests {
    use super::*;

    fn density(salinity_g_kg: f64, temperature_c: f64) -> f64 {
        Water::from_salinity(salinity_g_kg, temperature_c)
            .unwrap()
            .density_kg_m3
    }

    fn assert_near(got: f64, expected: f64, tolerance: f64, what: &str) {
        assert!(
            (got - expected).abs() <= tolerance,
            "{what}: {got} is not {expected} within {tolerance}"
        );
    }

    /// The check value that UNESCO TPMS 44 gives with its algorithm (from memory):
    /// −2.588567 °C at S = 40 and 500 dbar, of which the pressure's own term, 7.53e-4 °C
    /// a dbar, is left out here.
    #[test]
    fn freezing_point_check_value() {
        let at_pressure_c = freezing_point_c(40.0) - 7.53e-4 * 500.0;
        assert_near(at_pressure_c, -2.588_567, 5e-6, "S 40");
        assert_near(freezing_point_c(0.0), 0.0, 0.0, "no salt");
    }

    /// UNESCO TPMS 44's check table as computed by the Python package seawater
    /// 3.3.5, at the IPTS-68 temperatures of the table; printed to 1e-5 kg/m³.
    #[test]
    fn eos_80_check_table() {
        for (salinity, temperature, expected) in [
            (0.0, 5.0, 999.966_75),
            (0.0, 25.0, 997.047_96),
            (35.0, 5.0, 1_027.675_47),
            (35.0, 25.0, 1_023.343_06),
        ] {
            let what = format!("S {salinity}, {temperature} °C");
            assert_near(density(salinity, temperature), expected, 0.6e-5, &what);
        }
    }

    /// A value of the same equation for brackish water, to 1e-4 kg/m³; from memory, of
    /// no text that could be named.
    #[test]
    fn eos_80_brackish() {
        assert_near(density(8.0, 10.0), 1005.9466, 0.6e-4, "S 8, 10 °C");
    }

    /// The newer equation TEOS-10, independent of EOS-80's coefficients,
    /// computed with the Python package gsw 3.6.23 (`rho_t_exact`, surface).
    /// Allowed: EOS-80's standard error 0.0036 kg/m³ twice over, and 0.01 °C
    /// between the temperature scales (0.003 kg/m³ at 30 °C).
    #[test]
    fn teos_10_agrees() {
        let allowed = 2.0 * 0.0036 + 0.003;
        let fresh = [
            999.8431, 999.9666, 999.7025, 999.1026, 998.2071, 997.0476, 995.6495,
        ];
        // Absolute salinity 35.16504 g/kg is practical salinity 35.
        let sea = [
            1028.1072, 1027.6756, 1026.9541, 1025.9760, 1024.7660, 1023.3436, 1021.7261,
        ];
        for (step, (fresh, sea)) in (0_u8..).zip(fresh.into_iter().zip(sea)) {
            let temperature = 5.0 * f64::from(step);
            assert_near(density(0.0, temperature), fresh, allowed, "fresh");
            assert_near(density(35.0, temperature), sea, allowed, "sea");
        }
    }

    /// International Critical Tables (1928), fresh water in g/cm³ to five
    /// digits after the point; those are per millilitre of 1901, 28 parts in a
    /// million more than a cubic centimetre, hence
    /// 0.028 kg/m³ and half a digit, 0.005.
    #[test]
    fn critical_tables_agree() {
        for (temperature, g_cm3) in [
            (0.0, 0.999_87),
            (4.0, 1.000_00),
            (15.0, 0.999_13),
            (20.0, 0.998_23),
            (25.0, 0.997_07),
        ] {
            assert_near(density(0.0, temperature), 1e3 * g_cm3, 0.033, "ICT");
        }
    }

    /// The round figures against TEOS-10 by gsw 3.6.23: fresh at 4 to 10 °C
    /// within 0.5 kg/m³ and the open ocean at 15 °C within 1; the pool lies
    /// between its 25 and 30 °C.
    #[test]
    fn named_kinds() {
        assert_near(Water::fresh().density_kg_m3, 999.7025, 0.5, "fresh");
        assert_near(Water::sea().density_kg_m3, 1025.9760, 1.0, "sea");
        let pool = Water::pool().density_kg_m3;
        assert!((995.6495..997.0476).contains(&pool), "pool {pool}");
        assert!(Water::sea().about.to_string().contains("1025 kg/m³"));
    }

    /// Densities of air at 293.15 K by CoolProp (as above), between the table's
    /// rows too: linear interpolation of Z over 25 bar is off by at most its
    /// second difference over 8, 0.0005.
    #[test]
    fn air_as_the_equation_of_state_has_it() {
        for (bar, expected) in [
            (0.0, 1.205),
            (50.0, 61.372),
            (100.0, 121.466),
            (207.0, 239.756),
            (232.0, 264.153),
            (300.0, 323.663),
        ] {
            let got = air_density_kg_m3(bar * 1e5);
            assert_near(got, expected, 5e-4 * expected + 5e-4, "air");
        }
    }

    #[test]
    fn refuses_what_the_equation_does_not_cover() {
        for salinity in [-0.1, 42.1, f64::NAN, f64::INFINITY] {
            assert!(matches!(
                Water::from_salinity(salinity, 15.0),
                Err(WaterError::Salinity { .. })
            ));
        }
        for temperature in [-2.1, 40.1, 59.0, f64::NAN] {
            assert!(matches!(
                Water::from_salinity(35.0, temperature),
                Err(WaterError::Temperature { .. })
            ));
        }
        assert!(Water::from_salinity(42.0, -2.0).is_ok());
        assert!(Water::from_salinity(0.0, 40.0).is_ok());
    }

    #[test]
    fn refuses_a_density_in_other_units_and_says_which() {
        let message = |density| Water::from_density(density).unwrap_err().to_string();
        assert!(message(1.025).contains("g/cm3"), "{}", message(1.025));
        assert!(message(64.0).contains("lb/ft3"), "{}", message(64.0));
        assert!(message(899.0).contains("899 kg/m³"), "{}", message(899.0));
        assert!(message(f64::NAN).contains("1000 kg/m³"));
        assert_eq!(Water::from_density(1013.0).unwrap().density_kg_m3, 1013.0);
    }
}
