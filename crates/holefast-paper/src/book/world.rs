//! The outside world as typst sees it: one template, one data file, the drawings, two embedded
//! fonts, no date, nothing of the machine.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt as _, World};

/// Lato 2.007 by Łukasz Dziedzic, OFL 1.1 (see `fonts/OFL.txt`).
const FACES: [&[u8]; 2] = [include_bytes!("../../fonts/Lato-Regular.ttf"), include_bytes!("../../fonts/Lato-Bold.ttf")];

/// The template's name within this world.
pub const MAIN: &str = "/book.typ";

/// Files by their path in this world.
pub struct Papers {
    library: LazyHash<Library>,
    main: Source,
    files: BTreeMap<String, Bytes>,
}

/// The fonts, read once.
fn fonts() -> &'static (LazyHash<FontBook>, Vec<Font>) {
    static FONTS: OnceLock<(LazyHash<FontBook>, Vec<Font>)> = OnceLock::new();
    FONTS.get_or_init(|| {
        let fonts: Vec<Font> = FACES.iter().flat_map(|data| Font::iter(Bytes::new(*data))).collect();
        (LazyHash::new(FontBook::from_fonts(&fonts)), fonts)
    })
}

fn file_id(path: &str) -> Option<FileId> {
    Some(RootedPath::new(VirtualRoot::Project, VirtualPath::new(path).ok()?).intern())
}

impl Papers {
    /// A world of this template and these files (paths begin with a slash).
    pub fn new(template: &str, files: BTreeMap<String, Vec<u8>>) -> Option<Papers> {
        Some(Papers {
            library: LazyHash::new(Library::default()),
            main: Source::new(file_id(MAIN)?, template.to_owned()),
            files: files.into_iter().map(|(path, data)| (path, Bytes::new(data))).collect(),
        })
    }
}

impl World for Papers {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &fonts().0
    }

    fn main(&self) -> FileId {
        self.main.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.main.id() { Ok(self.main.clone()) } else { Err(FileError::AccessDenied) }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let path = id.get().vpath().get_with_slash().to_owned();
        self.files.get(&path).cloned().ok_or_else(|| FileError::NotFound(path.into()))
    }

    fn font(&self, index: usize) -> Option<Font> {
        fonts().1.get(index).cloned()
    }

    /// No date: the same job gives the same bytes on any day.
    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}
