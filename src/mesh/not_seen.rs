//! What a mended hull holds that no scan saw, and how far its frame and its rims may be off. A
//! mesh alone does not show it, so it goes with the file, in the header of an STL.
use schemars::JsonSchema;
use serde::Serialize;

use super::mend::TiltError;

/// Bytes of an STL's header, free for any text.
pub(super) const HEADER: usize = 80;
/// What such a text begins with.
const MARK: &str = "awash +-um,mdeg";
/// The largest number that it holds: a metre, and more degrees than there are.
const MOST: f64 = 999_999.0;

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
}

/// What a mended mesh tells of itself by its header: how far it may be off, which its corners
/// do not show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Carried {
    /// What no scan saw of it.
    pub not_seen: Option<NotSeen>,
    /// How far its frame may be off, and the craft lean by what was not seen; zero where it
    /// was never turned upright.
    pub tilt_error: TiltError,
    /// How far the rim that is known least may lie from its height, ± m; zero where none was
    /// told.
    pub rim_m: f64,
}

impl Carried {
    /// Of the same hull so many times as large.
    #[must_use]
    pub fn scaled(self, scale: f64) -> Self {
        Self {
            not_seen: self.not_seen.map(|not_seen| not_seen.scaled(scale)),
            tilt_error: TiltError {
                origin_m: self.tilt_error.origin_m.map(|m| m * scale),
                ..self.tilt_error
            },
            rim_m: self.rim_m * scale,
        }
    }

    /// Its numbers, as the header holds them: lengths in µm and angles in thousandths of a
    /// degree.
    fn numbers(&self) -> [f64; 9] {
        let none = NotSeen {
            sinks_m: 0.0,
            heel_deg: 0.0,
            pitch_deg: 0.0,
        };
        let not_seen = self.not_seen.unwrap_or(none);
        let TiltError {
            heel_deg,
            pitch_deg,
            origin_m: [x, y, z],
        } = self.tilt_error;
        let lengths = [not_seen.sinks_m, x, y, z, self.rim_m].map(|m| 1e6 * m);
        let [sinks, x, y, z, rim] = lengths;
        let angles = [not_seen.heel_deg, not_seen.pitch_deg, heel_deg, pitch_deg];
        let [heel, pitch, frame_heel, frame_pitch] = angles.map(|deg| 1e3 * deg);
        [sinks, heel, pitch, frame_heel, frame_pitch, x, y, z, rim]
    }

    /// As the header of an STL.
    pub(super) fn header(&self) -> [u8; HEADER] {
        let numbers = self.numbers().map(|n| format!(" {:.0}", n.min(MOST)));
        let text = format!("{MARK}{}", numbers.concat());
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
        let numbers = rest.split_whitespace().map(|word| word.parse().ok());
        let numbers: Vec<f64> = numbers.collect::<Option<_>>()?;
        let sound = |n: &f64| *n >= 0.0 && n.is_finite();
        if !numbers.iter().all(sound) {
            return None;
        }
        let [sinks, heel, pitch, frame_heel, frame_pitch, x, y, z, rim] =
            <[f64; 9]>::try_from(numbers).ok()?;
        Some(Self {
            not_seen: (sinks > 0.0).then_some(NotSeen {
                sinks_m: sinks / 1e6,
                heel_deg: heel / 1e3,
                pitch_deg: pitch / 1e3,
            }),
            tilt_error: TiltError {
                heel_deg: frame_heel / 1e3,
                pitch_deg: frame_pitch / 1e3,
                origin_m: [x, y, z].map(|um| um / 1e6),
            },
            rim_m: rim / 1e6,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_header_is_read_as_it_was_written() {
        let known = Carried {
            not_seen: Some(NotSeen {
                sinks_m: 0.001_234,
                heel_deg: 0.057,
                pitch_deg: 0.25,
            }),
            tilt_error: TiltError {
                heel_deg: 0.061,
                pitch_deg: 0.772,
                origin_m: [0.003_294, 0.000_264, 0.000_817],
            },
            rim_m: 0.002_25,
        };
        let near = |a: &Carried, b: &Carried| {
            let pairs = a.numbers().into_iter().zip(b.numbers());
            assert!(pairs.clone().all(|(a, b)| (a - b).abs() < 0.5), "{pairs:?}");
        };
        near(&Carried::read(&known.header()).expect("a header"), &known);
        let unseen = Carried {
            not_seen: None,
            ..known
        };
        assert_eq!(Carried::read(&unseen.header()).expect("one").not_seen, None);
        // The largest that it holds leave room.
        let most = Carried {
            not_seen: Some(NotSeen {
                sinks_m: 9.0,
                heel_deg: 90.0,
                pitch_deg: 90.0,
            }),
            tilt_error: TiltError {
                heel_deg: 90.0,
                pitch_deg: 90.0,
                origin_m: [9.0; 3],
            },
            rim_m: 9.0,
        };
        let read = Carried::read(&most.header()).expect("a header");
        assert!((read.rim_m - 1e-6 * MOST).abs() < 1e-9, "{read:?}");
        assert_eq!(Carried::read(&[0; HEADER]), None);
        assert_eq!(Carried::read(b"solid hull"), None);
        let mut broken = known.header();
        broken[25] = b'x';
        assert_eq!(Carried::read(&broken), None);
    }
}
