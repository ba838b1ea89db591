//! The cautions that go with every result about a craft.

/// What no number here covers. Common practice, no source.
pub const CAUTIONS: [&str; 6] = [
    "Calm, still water only: no waves, speed, wind or strength is in these numbers.",
    "First float waist-deep with a helper in the water, a line on the craft and a life jacket \
     worn; never strap in.",
    "Nothing here clears a craft for diving: shallow first, a support diver, own reserve air, \
     never hold your breath.",
    "Fix ballast so that it can not slide and can be let go. Batteries give off gas: vent after \
     charging and before closing.",
    "A motor usually makes a craft registrable: ask the boating and diving authorities and \
     whoever owns the water. Local rules and licensed practice come first.",
    "Resin bonds poorly to polyethylene: a wall stuck to it may peel, and its sill goes with it.",
];
