//! Phrases that trip a reader.

/// What tripped readers, and what is said in its place.
pub(crate) const BANNED: [(&str, &str); 17] = [
    ("over the water", "above the water"),
    ("water: narrow", "water: marginal"),
    ("can not", "cannot"),
    ("free to move", "loose"),
    ("riding up", "aground: one end or side lifted"),
    ("no matter", "no effect"),
    ("spread goes with it", "causes so much of the uncertainty"),
    ("% lie under", "5th percentile, median, 95th"),
    ("turns back, across", "righting moment in heel"),
    ("share of its mass", "weight in water ÷ weight in air"),
    ("level with the sea", "level with the water outside"),
    ("go its way", "start flooding"),
    ("free over", "free above"),
    ("come by", "comes from"),
    ("a row a line", "one line a row"),
    ("upright by itself\"", "stays upright"),
    ("never under", "no hole below"),
];
