//! The chain of files that extend each other, laid over one another.
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::conditions;
use super::overlay::overlay;
use super::place::Place;
use super::problem::{Fault, Problem};
use super::tree::{Entry, Loaded, Table, Value, parse, read_boat_source};
use crate::files::Files;

/// Most files in an `extends` chain.
const MAX_CHAIN: usize = 16;

/// Reads `path` and every file it extends and lays them over each other.
/// Returns nothing when a file could not be read or understood; `problems` says
/// why.
pub(crate) fn load(
    path: &Path,
    from: &Arc<dyn Files>,
    problems: &mut Vec<Problem>,
) -> Option<Loaded> {
    let mut chain = Chain {
        from,
        files: Vec::new(),
        identities: Vec::new(),
        table_count: 0,
    };
    let mut layers: Vec<Layer> = Vec::new();
    let mut next = Some((path.to_owned(), Place::whole_file(path)));
    while let Some((path, asked_at)) = next.take() {
        let layer = match chain.read(path, layers.len(), &asked_at) {
            Ok(layer) => layer,
            Err(problem) => {
                problems.push(*problem);
                return None;
            }
        };
        next.clone_from(&layer.base);
        layers.push(layer);
    }
    let place = layers.first()?.place.clone();
    let root = layers.into_iter().rev().fold(Table::new(), |base, layer| {
        let base = match layer.base_condition {
            Some((condition, at)) => {
                conditions::as_condition(base, &condition, &at, from, problems)
            }
            None => base,
        };
        overlay(base, layer.root, problems)
    });
    Some(Loaded {
        root,
        place,
        files: chain.files,
        from: Arc::clone(from),
    })
}

/// One file of the chain.
struct Layer {
    root: Table,
    /// The file as a whole.
    place: Place,
    /// The file that it extends, and where it says so.
    base: Option<(PathBuf, Place)>,
    /// The loading condition of that file that it starts from, likewise.
    base_condition: Option<(String, Place)>,
}

/// The files read so far.
struct Chain<'f> {
    from: &'f Arc<dyn Files>,
    files: Vec<PathBuf>,
    /// Links and `..` can spell one file in many ways.
    identities: Vec<PathBuf>,
    table_count: usize,
}

impl Chain<'_> {
    fn read(
        &mut self,
        path: PathBuf,
        number: usize,
        asked_at: &Place,
    ) -> Result<Layer, Box<Problem>> {
        let identity = self.from.identity(&path);
        let comes_back = self.identities.contains(&identity);
        self.files.push(path.clone());
        let problem = |fault, help: &str| Err(Box::new(Problem::new(asked_at, fault).help(help)));
        if comes_back {
            let chain = self.words();
            let help = "let one of these files stand alone, without `extends`";
            return problem(Fault::Cycle { chain }, help);
        }
        if self.files.len() > MAX_CHAIN {
            let (limit, chain) = (MAX_CHAIN, self.words());
            let help = "write the common parts into one file and extend that";
            return problem(Fault::ChainTooLong { limit, chain }, help);
        }
        self.identities.push(identity);
        let source = read_boat_source(&path, number, asked_at, &**self.from)?;
        let mut root = parse(&source, &mut self.table_count)?;
        let mut layer = Layer {
            place: source.place(0..0),
            base: None,
            base_condition: None,
            root: Table::new(),
        };
        if let Some(entry) = root.remove("extends") {
            self.extend(&mut layer, entry)?;
        }
        layer.root = root;
        Ok(layer)
    }

    /// Notes which file a layer extends.
    fn extend(&self, layer: &mut Layer, entry: Entry) -> Result<(), Box<Problem>> {
        let place = entry.node.place;
        let base = match &entry.node.value {
            Value::Text(base) if !base.trim().is_empty() => base,
            other => {
                let fault = Fault::WrongType {
                    key: "extends".into(),
                    owner: "the boat file".into(),
                    found: other.found(),
                    wanted: "the name of a boat file".into(),
                };
                let help = "for example extends = \"before.toml\"";
                return Err(Box::new(Problem::new(&place, fault).help(help)));
            }
        };
        let (base, condition) = conditions::asked_for(&**self.from, &place.beside(base));
        layer.base_condition = condition.map(|condition| (condition, place.clone()));
        layer.base = Some((base, place));
        Ok(())
    }

    fn words(&self) -> String {
        let names = self.files.iter().map(|file| file.display().to_string());
        names.collect::<Vec<_>>().join(" → ")
    }
}
