//! What `spread` says of what it does not know.
use awash::study::spread;

use crate::support::{json, number, text};
use crate::zoo::open_tender;

#[test]
fn masses_and_places_without_a_doubt_are_counted_in_the_first_line() {
    let mut hull = open_tender();
    // Beside the hull, without any: a mass alone, a place alone, both.
    hull.more = "[[item]]\nname = \"a\"\nmass = \"20 kg ± 2 kg\"\nat = [1, 0, 0.2]\n\
                 [[item]]\nname = \"b\"\nmass = 20\nat = [1, \"0 m ± 0.1 m\", 0.2]\n\
                 [[item]]\nname = \"c\"\nmass = \"20 kg ± 2 kg\"\nat = [\"1 m ± 0.1 m\", 0, 0.2]\n"
        .into();
    let result = json(&spread(&hull.boat(), 50, 1).expect("it floats"));
    assert_eq!(number(&result["exact"], "things"), 4.0);
    assert_eq!(number(&result["exact"], "masses"), 2.0);
    assert_eq!(number(&result["exact"], "places"), 2.0);
    let said = text(&result, "summary");
    assert!(
        said.contains("the mass of 2 and the place of 2 (of 4 things aboard)"),
        "{said}"
    );
}
