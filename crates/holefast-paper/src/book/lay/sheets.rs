//! Whole pages: a head, matter that flows over as many pages as it takes, a foot.

use super::{Lay, head};
use crate::page::block::Block;
use crate::page::{Base, Looks, Page, Place, Stream};

/// Matter for whole pages.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// A card's number; none on other pages.
    pub number: Option<String>,
    /// Title.
    pub title: String,
    /// Size of the title, mm.
    pub title_size: f64,
    /// At the right of the head.
    pub aside: Vec<String>,
    /// Type of the text.
    pub base: Base,
    /// White at the left and right, and above and below, mm.
    pub sides: [f64; 3],
    /// Across the page.
    pub first: Vec<Block>,
    /// Then beside one another.
    pub columns: Vec<Column>,
    /// Room between them, mm.
    pub gap: f64,
    /// Then across the page again.
    pub last: Vec<Block>,
    /// Foot.
    pub foot: Vec<String>,
}

/// One of the columns beside one another.
#[derive(Clone, Debug)]
pub struct Column {
    /// Its share of the width.
    pub share: f64,
    /// What stands in it.
    pub blocks: Vec<Block>,
}

/// Room between head and matter, and between that and the foot, mm.
const UNDER_HEAD: f64 = 3.0;
const ABOVE_FOOT: f64 = 2.0;

/// Room between what stands across a page and columns under it, mm.
const UNDER: f64 = 5.0;

/// White at the sides of a page of running matter, above and below it, mm.
pub const PAGE: [f64; 3] = [12.0, 12.0, 6.0];

/// The same for a card that takes a page.
pub const CARD_PAGE: [f64; 3] = [9.0, 9.0, 6.0];

struct Streams {
    first: Stream,
    /// Left end and width of each, mm, and what stands in it.
    columns: Vec<(f64, f64, Stream)>,
    last: Stream,
}

impl Streams {
    fn is_empty(&self) -> bool {
        self.first.is_empty() && self.columns.iter().all(|(.., stream)| stream.is_empty()) && self.last.is_empty()
    }
}

impl Lay {
    /// Sets matter on as many pages as it takes; a card that would go on overleaf is set closer where that spares
    /// it.
    pub fn sheet(&mut self, sheet: Sheet) {
        if sheet.base != Base::CARD {
            return self.set(sheet);
        }
        let before = self.pages.len();
        let said = self.remarks.clone();
        let closer = Sheet { base: Base::CLOSE_CARD, ..sheet.clone() };
        self.set(sheet);
        let wide = self.pages.split_off(before);
        if wide.len() > 1 {
            let wide_said = std::mem::replace(&mut self.remarks, said);
            self.set(closer);
            if self.pages.len() - before < wide.len() {
                return;
            }
            self.pages.truncate(before);
            self.remarks = wide_said;
        }
        self.pages.extend(wide);
    }

    fn set(&mut self, sheet: Sheet) {
        let [side, above, below] = sheet.sides;
        let [page_width, page_height] = self.size;
        let width = page_width - 2.0 * side;
        let (title, whole) = self.fitted_title(&sheet.title, sheet.title_size, 0.6 * width);
        let shares: f64 = sheet.columns.iter().map(|column| column.share).sum();
        let room = width - sheet.gap * (sheet.columns.len() as f64 - 1.0);
        let mut left = 0.0;
        let mut streams = Streams {
            first: Stream::new(whole.into_iter().chain(sheet.first)),
            columns: Vec::new(),
            last: Stream::new(sheet.last),
        };
        for column in sheet.columns {
            let wide = room * column.share / shares;
            streams.columns.push((left, wide, Stream::new(column.blocks)));
            left += wide + sheet.gap;
        }
        let mut continued = false;
        loop {
            let head = head(sheet.number.as_deref(), &title, sheet.title_size, continued, &sheet.aside);
            let head = self.looks(sheet.base).head(&head, width);
            let foot = self.foot(&sheet.foot, width);
            let mut page = Page::new(self.size);
            let top = above + head.height() + UNDER_HEAD;
            let end = page_height - below - foot.height() - ABOVE_FOOT;
            head.place(&mut page, [side, above]);
            if !continued {
                let named = sheet.number.as_ref().map_or_else(|| title.clone(), |number| format!("{number}  {title}"));
                page.places.push(Place { title: named, card: sheet.number.clone(), y: above });
            }
            let mut looks = Looks::new(&mut self.faces, sheet.base);
            filled(&mut looks, &mut streams, &mut page, [side, top], [width, end - top], &mut self.remarks);
            let y = page_height - below - foot.height();
            foot.place(&mut page, [side, y]);
            self.pages.push(page);
            if streams.is_empty() {
                return;
            }
            continued = true;
        }
    }
}

/// Fills a page: what stands across it, then the columns, then what stands across it again.
fn filled(
    looks: &mut Looks<'_>,
    streams: &mut Streams,
    page: &mut Page,
    [x, y]: [f64; 2],
    [width, height]: [f64; 2],
    remarks: &mut Vec<crate::page::Remark>,
) {
    let mut used = 0.0;
    if !streams.first.is_empty() {
        let part = streams.first.fill(looks, [width, height], true, remarks);
        used = part.height;
        part.place(page, [x, y]);
        if !streams.first.is_empty() {
            return;
        }
    }
    let below = |used: f64| if used > 0.0 { used + UNDER } else { 0.0 };
    if streams.columns.iter().any(|(.., stream)| !stream.is_empty()) {
        let from = below(used);
        let mut deepest = used;
        for (left, wide, stream) in &mut streams.columns {
            let part = stream.fill(looks, [*wide, height - from], from == 0.0, remarks);
            if !part.is_empty() {
                deepest = deepest.max(from + part.height);
            }
            part.place(page, [x + *left, y + from]);
        }
        used = deepest;
        if streams.columns.iter().any(|(.., stream)| !stream.is_empty()) {
            return;
        }
    }
    if !streams.last.is_empty() {
        let from = below(used);
        streams.last.fill(looks, [width, height - from], from == 0.0, remarks).place(page, [x, y + from]);
    }
}
