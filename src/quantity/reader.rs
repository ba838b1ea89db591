//! The spelling of a quantity: numbers, fractions, marks and names, without
//! knowing what any name means.
//!
//! By hand: feet and inches, fractions and ± as people write them; unit crates read
//! none of these.

use super::{Dimension, QuantityError};

/// A number and the name after it, if any.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Pair {
    pub(super) number: f64,
    pub(super) unit: Option<String>,
}

/// One side of ±.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Side {
    pub(super) negative: bool,
    pub(super) pairs: Vec<Pair>,
}

impl Side {
    pub(super) fn is_bare(&self) -> bool {
        matches!(self.pairs.as_slice(), [Pair { unit: None, .. }])
    }

    pub(super) fn take_unit(&mut self, unit: String) {
        if let Some(only) = self.pairs.first_mut() {
            only.unit = Some(unit);
        }
    }
}

/// Reads one side of ± into numbers and names.
pub(super) struct Reader<'a> {
    /// The whole text, to quote in errors.
    text: &'a str,
    wanted: Dimension,
    chars: Vec<char>,
    at: usize,
}

impl<'a> Reader<'a> {
    pub(super) fn new(side: &str, text: &'a str, wanted: Dimension) -> Self {
        Self {
            text,
            wanted,
            chars: side.trim().chars().collect(),
            at: 0,
        }
    }

    pub(super) fn side(mut self) -> Result<Side, QuantityError> {
        let negative = match self.peek(0) {
            Some(sign @ ('-' | '+')) => {
                self.at += 1;
                sign == '-'
            }
            _ => false,
        };
        let mut pairs: Vec<Pair> = Vec::new();
        loop {
            self.skip_blanks();
            if self.peek(0).is_none() && !pairs.is_empty() {
                return Ok(Side { negative, pairs });
            }
            let number = self.number()?;
            let after_foot_mark = pairs
                .last()
                .is_some_and(|pair| pair.unit.as_deref() == Some("'"));
            let mut unit = self.unit();
            if unit.is_none() && after_foot_mark && self.peek(0).is_none() {
                // A tape reading such as 3'2 leaves the inch mark out.
                unit = Some("\"".to_owned());
            }
            if unit.is_none() && !(pairs.is_empty() && self.peek(0).is_none()) {
                return Err(self.unreadable());
            }
            let foot_mark = unit.as_deref() == Some("'");
            pairs.push(Pair { number, unit });
            if foot_mark && self.peek(0) == Some('-') && self.digit(1) {
                // Drawings write 3'-2" for 3 ft 2 in: the hyphen is no sign.
                self.at += 1;
            }
        }
    }

    /// A decimal, a fraction, or a whole number and a fraction.
    fn number(&mut self) -> Result<f64, QuantityError> {
        let start = self.at;
        let whole = self.digits();
        if self.fraction_bar() {
            return self.finish_fraction(&whole);
        }
        let mut literal = whole.clone();
        if self.peek(0) == Some('.') && (self.digit(1) || !whole.is_empty()) {
            self.at += 1;
            literal.push('.');
            literal.push_str(&self.digits());
        }
        if literal.is_empty() {
            return Err(self.unreadable());
        }
        literal.push_str(&self.exponent());
        if self.peek(0) == Some(',') {
            return Err(QuantityError::Comma {
                text: self.text.to_owned(),
            });
        }
        let is_whole = literal == whole;
        let number = literal.parse::<f64>().map_err(|_| {
            self.at = start;
            self.unreadable()
        })?;
        if is_whole && let Some(fraction) = self.trailing_fraction()? {
            return Ok(number + fraction);
        }
        Ok(number)
    }

    /// The `3/8` of `17 3/8` or `17-3/8`.
    fn trailing_fraction(&mut self) -> Result<Option<f64>, QuantityError> {
        let before = self.at;
        if self.peek(0) == Some('-') {
            self.at += 1;
        } else {
            self.skip_blanks();
        }
        if self.at > before {
            let numerator = self.digits();
            if !numerator.is_empty() && self.fraction_bar() {
                return self.finish_fraction(&numerator).map(Some);
            }
        }
        self.at = before;
        Ok(None)
    }

    fn fraction_bar(&self) -> bool {
        self.peek(0) == Some('/') && self.digit(1)
    }

    fn finish_fraction(&mut self, numerator: &str) -> Result<f64, QuantityError> {
        let bar = self.at;
        self.at += 1;
        let denominator = self.digits();
        match (numerator.parse::<f64>(), denominator.parse::<f64>()) {
            (Ok(_), Ok(0.0)) => Err(QuantityError::ZeroDenominator {
                text: self.text.to_owned(),
            }),
            (Ok(numerator), Ok(denominator)) => Ok(numerator / denominator),
            _ => {
                self.at = bar;
                Err(self.unreadable())
            }
        }
    }

    fn digits(&mut self) -> String {
        let start = self.at;
        while self.digit(0) {
            self.at += 1;
        }
        self.chars[start..self.at].iter().collect()
    }

    fn exponent(&mut self) -> String {
        if !matches!(self.peek(0), Some('e' | 'E')) {
            return String::new();
        }
        let signed = matches!(self.peek(1), Some('+' | '-'));
        if !self.digit(if signed { 2 } else { 1 }) {
            return String::new();
        }
        let start = self.at;
        self.at += if signed { 2 } else { 1 };
        self.digits();
        self.chars[start..self.at].iter().collect()
    }

    /// The name after a number, as far as it goes.
    fn unit(&mut self) -> Option<String> {
        self.skip_blanks();
        if let Some(mark @ ('\'' | '"')) = self.peek(0) {
            self.at += 1;
            if mark == '\'' && self.peek(0) == Some('\'') {
                self.at += 1;
                return Some("\"".to_owned());
            }
            return Some(mark.to_string());
        }
        let start = self.at;
        while let Some(c) = self.peek(0) {
            let goes_on = match c {
                '°' | '%' | '‰' | '/' | '·' | '^' => true,
                '.' => !self.digit(1),
                '-' => self.at > start && self.peek(1).is_some_and(char::is_alphabetic),
                '2' | '3' | '4' => self.is_power(),
                _ => c.is_alphabetic() || c.is_whitespace(),
            };
            if !goes_on {
                break;
            }
            self.at += 1;
        }
        let name: String = self.chars[start..self.at].iter().collect();
        let name = name.trim();
        (!name.is_empty()).then(|| name.to_owned())
    }

    /// Whether the digit here is the power in `ft2` and not the start of a
    /// number as in `3ft2in` or `3ft2.5in`.
    fn is_power(&self) -> bool {
        let after_a_name = self
            .at
            .checked_sub(1)
            .and_then(|before| self.chars.get(before))
            .is_some_and(|c| c.is_alphabetic() || *c == '^');
        let number_goes_on = match self.peek(1) {
            Some('.') => self.digit(2),
            Some('/') => self.digit(2),
            Some(c) => c.is_alphanumeric() || matches!(c, '\'' | '"'),
            None => false,
        };
        after_a_name && !number_goes_on
    }

    fn skip_blanks(&mut self) {
        while self.peek(0).is_some_and(char::is_whitespace) {
            self.at += 1;
        }
    }

    fn peek(&self, ahead: usize) -> Option<char> {
        self.chars.get(self.at + ahead).copied()
    }

    fn digit(&self, ahead: usize) -> bool {
        self.peek(ahead).is_some_and(|c| c.is_ascii_digit())
    }

    fn unreadable(&self) -> QuantityError {
        let rest: String = self.chars.iter().skip(self.at).collect();
        let rest = rest.trim();
        QuantityError::Unreadable {
            text: self.text.to_owned(),
            rest: if rest.is_empty() {
                self.text.to_owned()
            } else {
                rest.to_owned()
            },
            wanted: self.wanted,
        }
    }
}

/// Puts the many characters people paste into the few the reader knows.
pub(super) fn normalise(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '−' => plain.push('-'),
            '′' | '’' | '‘' => plain.push('\''),
            '″' | '“' | '”' => plain.push('"'),
            '⁄' => plain.push('/'),
            'º' | '˚' => plain.push('°'),
            '⋅' | '∙' => plain.push('·'),
            '℃' => plain.push_str("°C"),
            '℉' => plain.push_str("°F"),
            '²' => plain.push_str("^2"),
            '³' => plain.push_str("^3"),
            '⁴' => plain.push_str("^4"),
            _ => match vulgar_fraction(c) {
                Some(fraction) => {
                    if plain.ends_with(|last: char| last.is_ascii_digit()) {
                        plain.push(' ');
                    }
                    plain.push_str(fraction);
                    plain.push(' ');
                }
                None => plain.push(c),
            },
        }
    }
    plain.replace("+/-", "±").replace("+-", "±")
}

fn vulgar_fraction(c: char) -> Option<&'static str> {
    Some(match c {
        '½' => "1/2",
        '⅓' => "1/3",
        '⅔' => "2/3",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        _ => return None,
    })
}
