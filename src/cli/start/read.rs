//! Answers read: quantities, sides, words.
use crate::quantity::{Dimension, Quantity, UnitSystem, show};

/// A quantity with its unit; nothing needs none.
fn quantity(text: &str, dimension: Dimension) -> Result<Quantity, String> {
    let read = if text.trim() == "0" {
        Ok(Quantity::exact(0.0))
    } else {
        Quantity::parse_needing_unit(text, dimension)
    };
    let read = read.map_err(|_| {
        let (what, example) = match dimension {
            Dimension::Mass => ("weight", "24 kg, 24 kg ± 1 kg or 53 lb"),
            _ => ("length", "132 mm, 1.2 m or 5 1/4 in"),
        };
        format!("I cannot read \"{text}\" as a {what}: type it with its unit, such as {example}")
    })?;
    if read.value < 0.0 {
        return Err(format!("{text} is negative"));
    }
    Ok(read)
}

/// A length as it was typed, at most so much, with what is so long.
pub(super) fn length(text: &str, most_m: f64, of: &str) -> Result<String, String> {
    if quantity(text, Dimension::Length)?.value > most_m {
        let most = show(most_m, Dimension::Length, UnitSystem::Both);
        return Err(format!("{text} is too much: {of} {most}"));
    }
    Ok(text.to_owned())
}

/// A length in metres within limits.
pub(super) fn length_m(text: &str, limits: &std::ops::RangeInclusive<f64>) -> Result<f64, String> {
    let read = quantity(text, Dimension::Length)?.value;
    if limits.contains(&read) {
        Ok(read)
    } else {
        Err(format!("no small craft is {text} long"))
    }
}

/// A mass as it was typed, at most so much.
pub(super) fn mass(text: &str, most_kg: f64) -> Result<String, String> {
    if quantity(text, Dimension::Mass)?.value > most_kg {
        let most = show(most_kg, Dimension::Mass, UnitSystem::Both);
        return Err(format!("{text} is more than {most}"));
    }
    Ok(text.to_owned())
}

/// Whether a mass as it was typed is none.
pub(super) fn is_nothing(text: &str) -> bool {
    quantity(text, Dimension::Mass).is_ok_and(|mass| mass.value == 0.0)
}

/// A distance to one side, however it is said: 0, "20 cm port", "Starboard 5 in",
/// "20 cm to the left".
pub(super) fn sideways(text: &str, most_m: f64) -> Result<String, String> {
    let mut side = None;
    let mut amount: Vec<&str> = Vec::new();
    for word in text.split_whitespace() {
        match word.to_lowercase().trim_matches(',') {
            "port" | "p" | "left" => side = Some("port"),
            "starboard" | "stbd" | "stb" | "s" | "right" => side = Some("starboard"),
            "to" | "the" | "side" => {}
            _ => amount.push(word),
        }
    }
    let amount = length(&amount.join(" "), most_m, "the hull's breadth is")?;
    match side {
        Some(side) => Ok(format!("{amount} {side}")),
        None if is_zero_length(&amount) => Ok(amount),
        None => Err(
            "say to which side, such as 20 cm port or 20 cm starboard: port is left, facing the bow"
                .to_owned(),
        ),
    }
}

fn is_zero_length(text: &str) -> bool {
    quantity(text, Dimension::Length).is_ok_and(|length| length.value == 0.0)
}

/// One of several words, by its first letters.
pub(super) fn one_of(text: &str, words: &[&'static str]) -> Result<&'static str, String> {
    let asked = text.trim().to_lowercase();
    let mut found = words.iter().filter(|word| word.starts_with(&asked));
    match (found.next(), found.next()) {
        (Some(word), None) => Ok(word),
        _ => Err(format!("one of: {}", words.join(", "))),
    }
}

pub(super) fn yes_or_no(text: &str) -> Result<bool, String> {
    Ok(one_of(text, &["yes", "no"])? == "yes")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_side_is_understood_however_it_is_said() {
        for (text, read) in [
            ("20 cm port", "20 cm port"),
            ("Port 20 cm", "20 cm port"),
            ("20 cm to the LEFT", "20 cm port"),
            ("5 in stbd", "5 in starboard"),
            ("s, 5 1/4 in", "5 1/4 in starboard"),
            ("0", "0"),
        ] {
            assert_eq!(sideways(text, 1.0).as_deref(), Ok(read), "{text}");
        }
        assert!(sideways("20 cm", 1.0).unwrap_err().contains("which side"));
        assert!(sideways("3 m port", 1.0).unwrap_err().contains("breadth"));
    }

    #[test]
    fn a_bare_number_is_asked_for_its_unit() {
        for text in ["40", "dunno", "1,5 m"] {
            let wrong = mass(text, 300.0).unwrap_err();
            assert!(wrong.contains("with its unit"), "{wrong}");
        }
        assert_eq!(mass("53 lb", 300.0).as_deref(), Ok("53 lb"));
        assert!(mass("5000 kg", 300.0).is_err());
        assert!(
            length_m("-2000 mm", &(0.3..=20.0))
                .unwrap_err()
                .contains("negative")
        );
    }
}
