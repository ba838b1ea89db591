//! What a mended hull holds that no scan saw, and what that leaves open of its floating. A
//! mesh alone does not show it, so it goes with the file, in the header of an STL.
use schemars::JsonSchema;
use serde::Serialize;

/// Bytes of an STL's header, free for any text.
pub(super) const HEADER: usize = 80;
/// What such a text begins with.
const MARK: &str = "awash: not seen, so +-";

/// How far a craft may float otherwise by what was filled or mirrored.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct NotSeen {
    /// Higher or lower, ± m.
    pub sinks_m: f64,
    /// Heeled, ± deg.
    pub heel_deg: f64,
    /// Pitched, ± deg.
    pub pitch_deg: f64,
}

impl NotSeen {
    /// Of two causes that know nothing of each other.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self {
            sinks_m: self.sinks_m.hypot(other.sinks_m),
            heel_deg: self.heel_deg.hypot(other.heel_deg),
            pitch_deg: self.pitch_deg.hypot(other.pitch_deg),
        }
    }

    /// Of the same hull so many times as large.
    #[must_use]
    pub fn scaled(self, scale: f64) -> Self {
        Self {
            sinks_m: self.sinks_m * scale,
            ..self
        }
    }

    /// As the header of an STL.
    pub(super) fn header(&self) -> [u8; HEADER] {
        let text = format!(
            "{MARK} {:.6} m, heel {:.4} deg, pitch {:.4} deg",
            self.sinks_m, self.heel_deg, self.pitch_deg
        );
        let mut header = [b' '; HEADER];
        for (to, from) in header.iter_mut().zip(text.bytes()) {
            *to = from;
        }
        header
    }

    /// Out of a header that [`Self::header`] wrote.
    pub(super) fn read(bytes: &[u8]) -> Option<Self> {
        let text = std::str::from_utf8(bytes.get(..HEADER)?).ok()?;
        let rest = text.strip_prefix(MARK)?;
        let mut words = rest.split_whitespace().filter_map(|word| word.parse().ok());
        let mut next = || {
            words
                .next()
                .filter(|value: &f64| *value >= 0.0 && value.is_finite())
        };
        Some(Self {
            sinks_m: next()?,
            heel_deg: next()?,
            pitch_deg: next()?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_header_is_read_as_it_was_written() {
        let known = NotSeen {
            sinks_m: 0.001_234,
            heel_deg: 0.0567,
            pitch_deg: 0.25,
        };
        assert_eq!(NotSeen::read(&known.header()), Some(known));
        let most = NotSeen {
            sinks_m: 99.0,
            heel_deg: 89.0,
            pitch_deg: 89.0,
        };
        assert_eq!(NotSeen::read(&most.header()), Some(most));
        assert_eq!(NotSeen::read(&[0; HEADER]), None);
        assert_eq!(NotSeen::read(b"solid hull"), None);
        let mut broken = known.header();
        broken[25] = b'x';
        assert_eq!(NotSeen::read(&broken), None);
    }
}
