//! The page of the boat file against the keys that are read.
use std::fs;

use super::keys_page;

const PATH: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/src/reference/boat-file.md");

/// `AWASH_WRITE=1 cargo test --lib the_page_tells` writes the keys into the page anew.
#[test]
fn the_page_tells_every_key_as_it_is_read() {
    let page = fs::read_to_string(PATH).expect("the page");
    let keys = keys_page();
    let prose = page.split("\n## ").next().expect("prose before the keys");
    if std::env::var_os("AWASH_WRITE").is_some() {
        fs::write(PATH, format!("{prose}{keys}")).expect("written");
        return;
    }
    assert_eq!(&page[prose.len()..], keys);
}
