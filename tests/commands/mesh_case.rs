//! One mesh file, and what `awash slice` must say of it.
use std::panic::{AssertUnwindSafe, catch_unwind};

use serde_json::Value;

use super::run::{Folder, awash, number};

/// A mesh file and what must come of it.
pub(crate) struct Case {
    name: &'static str,
    bytes: Vec<u8>,
    units: Option<&'static str>,
    waterline_m: f64,
    answer: Expected,
}

enum Expected {
    /// Exit code 2 and these words on stderr.
    Refused(&'static [&'static str]),
    /// Exit code 0 and these doubts (kind, words), at least.
    Doubted {
        doubts: &'static [(&'static str, &'static str)],
        /// Closed form, m³; `None` where the mesh has no true volume.
        volume_m3: Option<f64>,
    },
    /// Exit code 0, the true volume, and nothing to doubt.
    Right { volume_m3: f64 },
}

/// A mesh in metres, cut at z = 0.25 m.
pub(crate) fn mesh(name: &'static str, bytes: impl Into<Vec<u8>>) -> Case {
    Case {
        name,
        bytes: bytes.into(),
        units: Some("m"),
        waterline_m: 0.25,
        answer: Expected::Refused(&[]),
    }
}

impl Case {
    /// Leaves the unit to be guessed.
    pub(crate) fn without_units(self) -> Self {
        Self {
            units: None,
            ..self
        }
    }

    pub(crate) fn cut_at(self, waterline_m: f64) -> Self {
        Self {
            waterline_m,
            ..self
        }
    }

    pub(crate) fn refused(self, words: &'static [&'static str]) -> Self {
        assert!(!words.is_empty());
        Self {
            answer: Expected::Refused(words),
            ..self
        }
    }

    pub(crate) fn doubted(self, doubts: &'static [(&'static str, &'static str)]) -> Self {
        assert!(!doubts.is_empty());
        Self {
            answer: Expected::Doubted {
                doubts,
                volume_m3: None,
            },
            ..self
        }
    }

    pub(crate) fn displaces_but_doubted(
        self,
        volume_m3: f64,
        doubts: &'static [(&'static str, &'static str)],
    ) -> Self {
        assert!(!doubts.is_empty());
        Self {
            answer: Expected::Doubted {
                doubts,
                volume_m3: Some(volume_m3),
            },
            ..self
        }
    }

    pub(crate) fn right(self, volume_m3: f64) -> Self {
        Self {
            answer: Expected::Right { volume_m3 },
            ..self
        }
    }

    fn check(&self, folder: &Folder) {
        let file = format!("{}.stl", self.name);
        let path = folder.write(&file, &self.bytes);
        let waterline = format!("{} m", self.waterline_m);
        let mut arguments = vec!["slice", path.to_str().expect("a plain path")];
        arguments.extend(["--format", "json", "--waterline", &waterline]);
        if let Some(units) = self.units {
            arguments.extend(["--mesh-units", units]);
        }
        let answer = awash(&arguments);
        match &self.answer {
            Expected::Refused(words) => {
                let message = answer.refusal();
                assert!(message.contains(&file), "the file is not named: {message}");
                for words in *words {
                    assert!(message.contains(words), "no `{words}` in: {message}");
                }
            }
            Expected::Doubted { doubts, volume_m3 } => {
                let result = answer.json();
                let found = &result["mesh_doubts"];
                for (kind, words) in *doubts {
                    assert!(
                        has_doubt(found, kind, words),
                        "no {kind} doubt with `{words}` in: {found:#}"
                    );
                }
                has_volume(&result, *volume_m3);
            }
            Expected::Right { volume_m3 } => {
                let result = answer.json();
                assert_eq!(result["mesh_doubts"], serde_json::json!([]), "{result:#}");
                has_volume(&result, Some(*volume_m3));
            }
        }
    }
}

/// Whether a result has a doubt of a kind with these words.
pub(crate) fn has_doubt(doubts: &Value, kind: &str, words: &str) -> bool {
    doubts.as_array().is_some_and(|doubts| {
        doubts.iter().any(|doubt| {
            doubt["kind"] == kind && doubt["text"].as_str().is_some_and(|t| t.contains(words))
        })
    })
}

/// Volumes are of exact single-precision numbers and sums of few terms.
fn has_volume(result: &Value, expected_m3: Option<f64>) {
    const ROUNDING: f64 = 1e-12;
    let volume = number(result, "displaced_volume_m3");
    assert!(volume.is_finite());
    if let Some(expected) = expected_m3 {
        assert!(
            (volume - expected).abs() <= ROUNDING * expected.max(1.0),
            "{volume} m³ is not {expected} m³"
        );
    }
}

/// Runs every case and names all that fail.
pub(crate) fn check_all(cases: impl IntoIterator<Item = Case>) {
    let folder = Folder::new();
    let failed: Vec<&str> = cases
        .into_iter()
        .filter(|case| {
            let outcome = catch_unwind(AssertUnwindSafe(|| case.check(&folder)));
            outcome.is_err()
        })
        .map(|case| case.name)
        .collect();
    assert!(failed.is_empty(), "{failed:?}: see the messages above");
}
