//! The pages of `awash reference`: what the program, its boat file and its results mean.
//! Each page is one text, printed by the program and shown here.

/// One page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub struct Page {
    /// What it is asked for by.
    pub name: &'static str,
    /// What it tells, in a line.
    pub about: &'static str,
    /// Its text, Markdown.
    pub markdown: &'static str,
}

/// Each page as a module of the docs and as a member of [`PAGES`].
macro_rules! pages {
    ($($module:ident, $name:literal: $about:literal;)+) => {
        $(
            #[doc = include_str!(concat!("reference/", $name, ".md"))]
            pub mod $module {}
        )+

        /// All pages.
        pub const PAGES: &[Page] = &[$(
            Page {
                name: $name,
                about: $about,
                markdown: include_str!(concat!("reference/", $name, ".md")),
            },
        )+];
    };
}

pages! {
    guide, "guide": "the job step by step: every command, and what it takes and tells";
    boat_file, "boat-file": "every key of the boat file";
    results, "results": "every key of --format json";
    words, "words": "the trade terms used, each in a line";
    trust, "trust": "what the numbers were checked against, and what is not guaranteed";
    releases, "releases": "what stays from one release to the next";
}

/// Holds a page to what the code says of its keys, which stands from its first `## ` on;
/// with `AWASH_WRITE` set it is written into the page anew.
#[cfg(test)]
pub(crate) fn hold(name: &str, keys: &str) {
    let path = format!("{}/src/reference/{name}.md", env!("CARGO_MANIFEST_DIR"));
    let page = std::fs::read_to_string(&path).expect("the page");
    let prose = page.split("\n## ").next().expect("prose before the keys");
    if std::env::var_os("AWASH_WRITE").is_some() {
        std::fs::write(&path, format!("{prose}{keys}")).expect("written");
    } else {
        assert_eq!(&page[prose.len()..], keys);
    }
}
