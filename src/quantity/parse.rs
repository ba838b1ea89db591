//! From what somebody wrote to base units.
//!
//! A text is first put into plain characters, split at ±, and each side read
//! into number–unit pairs without knowing any unit (`reader`). Only then are
//! the names looked up, because a side may borrow the other's unit.

use super::reader::{Pair, Reader, Side, normalise};
use super::units::{self, Found, Unit};
use super::{Dimension, Quantity, QuantityError};

/// Where the reading stands, so that every error can quote the text.
struct Context<'a> {
    text: &'a str,
    wanted: Dimension,
    bare_allowed: bool,
}

pub(super) fn parse(
    text: &str,
    wanted: Dimension,
    bare_allowed: bool,
) -> Result<Quantity, QuantityError> {
    let text = text.trim();
    let context = Context {
        text,
        wanted,
        bare_allowed,
    };
    if text.is_empty() {
        return Err(QuantityError::Empty { wanted });
    }
    let plain = normalise(text);
    let mut sides = plain.split('±');
    let mut value_side = context.read(sides.next().unwrap_or_default())?;
    let spread_side = sides.next().map(|side| context.read(side)).transpose()?;
    if sides.next().is_some() {
        return Err(context.spread("± stands there twice"));
    }
    let Some(mut spread_side) = spread_side else {
        let value = context.to_base(&value_side, Zero::OfUnit)?;
        return Ok(Quantity::exact(value));
    };

    if spread_side.negative {
        return Err(context.spread("the spread is negative"));
    }
    let share = context.share_of_value(&spread_side);
    if share.is_none() && value_side.is_bare() != spread_side.is_bare() {
        if value_side.is_bare() {
            value_side.take_unit(context.lent_unit(&spread_side)?);
        } else {
            spread_side.take_unit(context.lent_unit(&value_side)?);
        }
    }
    let value = context.to_base(&value_side, Zero::OfUnit)?;
    let spread = match share {
        Some(_) if wanted == Dimension::Temperature => {
            return Err(context.spread("a share of a temperature has no meaning"));
        }
        Some(share) => (value * share).abs(),
        None => context.to_base(&spread_side, Zero::Ignored)?,
    };
    if !spread.is_finite() {
        return Err(context.not_finite());
    }
    Ok(Quantity { value, spread })
}

/// Whether a unit's own zero counts: not for a difference.
#[derive(Clone, Copy, PartialEq)]
enum Zero {
    OfUnit,
    Ignored,
}

impl Context<'_> {
    fn read(&self, side: &str) -> Result<Side, QuantityError> {
        Reader::new(side, self.text, self.wanted).side()
    }

    /// The unit that one side of ± has and the other takes over. `0.4 ± 5 %`
    /// might mean 0.4 or 0.4 %, and `3 ft 2 in ± 1` feet or inches.
    fn lent_unit(&self, lender: &Side) -> Result<String, QuantityError> {
        match lender.pairs.as_slice() {
            [
                Pair {
                    unit: Some(unit), ..
                },
            ] if self.wanted != Dimension::Fraction => Ok(unit.clone()),
            _ => Err(self.spread("one side of ± has no unit and may be read in two ways")),
        }
    }

    /// The spread as a share of the value, when it is written in %.
    fn share_of_value(&self, spread: &Side) -> Option<f64> {
        let [only] = spread.pairs.as_slice() else {
            return None;
        };
        match units::find(only.unit.as_deref()?, self.wanted) {
            Found::Unit(unit)
                if unit.dimension == Dimension::Fraction && self.wanted != unit.dimension =>
            {
                Some(only.number * unit.factor)
            }
            _ => None,
        }
    }

    fn to_base(&self, side: &Side, zero: Zero) -> Result<f64, QuantityError> {
        let mut total = 0.0;
        let mut offset = 0.0;
        let mut larger: Option<&Unit> = None;
        for pair in &side.pairs {
            let Some(name) = &pair.unit else {
                total += self.bare(pair, side)?;
                continue;
            };
            let unit = self.unit(name)?;
            if let Some(larger) = larger {
                self.check_compound(larger, unit, pair.number)?;
            }
            total += pair.number * unit.factor;
            if zero == Zero::OfUnit {
                offset = unit.offset;
            }
            larger = Some(unit);
        }
        let sign = if side.negative { -1.0 } else { 1.0 };
        let value = sign * total + offset;
        if value.is_finite() {
            Ok(value)
        } else {
            Err(self.not_finite())
        }
    }

    fn bare(&self, pair: &Pair, side: &Side) -> Result<f64, QuantityError> {
        if self.bare_allowed && side.pairs.len() == 1 {
            return Ok(pair.number);
        }
        Err(QuantityError::MissingUnit {
            text: self.text.to_owned(),
            number: if side.negative {
                -pair.number
            } else {
                pair.number
            },
            wanted: self.wanted,
        })
    }

    fn unit(&self, name: &str) -> Result<&'static Unit, QuantityError> {
        let text = self.text.to_owned();
        let wanted = self.wanted;
        match units::find(name, wanted) {
            Found::Unit(unit) if unit.dimension == wanted => Ok(unit),
            Found::Unit(unit) => Err(QuantityError::WrongDimension {
                text,
                unit: name.to_owned(),
                found: unit.dimension,
                wanted,
            }),
            Found::Ambiguous(advice) => Err(QuantityError::AmbiguousUnit {
                text,
                unit: name.to_owned(),
                advice,
            }),
            Found::Unknown => Err(QuantityError::UnknownUnit {
                text,
                unit: name.to_owned(),
                wanted,
            }),
        }
    }

    fn check_compound(
        &self,
        larger: &Unit,
        smaller: &Unit,
        number: f64,
    ) -> Result<(), QuantityError> {
        let text = self.text.to_owned();
        let (larger_symbol, smaller_symbol) = (larger.symbol, smaller.symbol);
        if !units::may_follow(larger, smaller) {
            return Err(QuantityError::Compound {
                text,
                larger: larger_symbol,
                smaller: smaller_symbol,
            });
        }
        if number * smaller.factor >= larger.factor {
            return Err(QuantityError::CompoundOverflow {
                text,
                number,
                larger: larger_symbol,
                smaller: smaller_symbol,
            });
        }
        Ok(())
    }

    fn spread(&self, problem: &'static str) -> QuantityError {
        QuantityError::Spread {
            text: self.text.to_owned(),
            problem,
            wanted: self.wanted,
        }
    }

    fn not_finite(&self) -> QuantityError {
        QuantityError::NotFinite {
            text: self.text.to_owned(),
            wanted: self.wanted,
        }
    }
}

#[cfg(test)]
#[path = "parse_tests.rs"]
mod tests;
