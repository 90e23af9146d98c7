//! Cards on halves of pages that are cut apart: a drawing at the left, what to do at the right.
//!
//! Text too long for one half takes two, alike in height, or as many as it needs; those of one card come on
//! one page where a half is free anyway.

use holefast::drawing::Role;

use super::{Drawn, Lay, List, TITLE_LINES, head};
use crate::book::text;
use crate::page::block::{Block, strong};
use crate::page::looks::distances;
use crate::page::{Base, Filled, Laid, Looks, Page, Place, Stream};

/// White at the sides of a card, mm.
pub const CARD_SIDE: f64 = 9.0;

/// White above and below a card, mm.
const ABOVE: f64 = 8.0;
const BELOW: f64 = 5.0;

/// Room between a card's head and its body, and between that and the foot, mm.
const GAP: f64 = 2.5;
const ABOVE_FOOT: f64 = 3.8;

/// Room between drawing and text, mm.
const BESIDE: f64 = 6.0;

/// Least width that the drawing keeps, mm: the bar to hold a rule to and its label want it.
const LEAST_LEFT: f64 = 75.0;

/// A card is best parted before a heading: the halves may then differ in height by this much more, mm. No half is
/// that tall, so that a heading always wins.
const WORTH_A_HEADING: f64 = 200.0;

/// A card for half a page.
#[derive(Clone, Debug)]
pub struct Card {
    /// Number.
    pub number: String,
    /// Title.
    pub title: String,
    /// Size of the title, mm.
    pub title_size: f64,
    /// At the right of the head, line by line.
    pub aside: Vec<String>,
    /// The drawing.
    pub drawn: Drawn,
    /// Under it on the card's last half, where it is ticked.
    pub list: Option<List>,
    /// Beside it.
    pub items: Vec<Block>,
    /// Foot.
    pub foot: Vec<String>,
}

struct Half {
    head: Laid,
    left: Laid,
    left_width: f64,
    text: Filled,
    foot: Laid,
    place: Option<Place>,
}

impl Lay {
    /// Width that a card's drawing may take, and the height of its body, mm.
    pub fn card_room(
        &mut self,
        number: &str,
        title: &str,
        title_size: f64,
        aside: &[String],
        foot: &[String],
    ) -> [f64; 2] {
        let width = self.size[0] - 2.0 * CARD_SIDE;
        let short = self.looks(Base::CARD).shortened(title, title_size, TITLE_LINES * 0.6 * width);
        let title = short.unwrap_or_else(|| title.to_owned());
        let head = self.looks(Base::CARD).head(&head(Some(number), &title, title_size, true, aside), width);
        let (foot, _) = self.looks(Base::CARD).foot(foot, width);
        [0.6 * width, 0.5 * self.size[1] - ABOVE - BELOW - GAP - ABOVE_FOOT - head.height() - foot.height()]
    }

    /// Height of all that stands at the left of a card, mm.
    pub fn left_height(&mut self, drawn: &Drawn, list: Option<&List>) -> f64 {
        let room = 0.6 * (self.size[0] - 2.0 * CARD_SIDE);
        self.left(drawn, list, left_width(drawn, list, room)).height()
    }

    fn left(&mut self, drawn: &Drawn, list: Option<&List>, width: f64) -> Laid {
        let bar = self.bar.clone();
        let list = list.map(|list| (list.head.as_str(), list.items.as_slice(), list.columns));
        self.looks(Base::CARD).beside(drawn.scene.as_ref(), &drawn.keys, &bar, list, width)
    }

    /// Sets cards one after the other, two halves to a page.
    pub fn cards(&mut self, cards: Vec<Card>) {
        let cards: Vec<Vec<Half>> = cards.into_iter().map(|card| self.halves_of(card)).collect();
        let counts: Vec<usize> = cards.iter().map(Vec::len).collect();
        let free = free_half(&counts);
        let mut halves: Vec<Option<Half>> = Vec::new();
        for (i, card) in cards.into_iter().enumerate() {
            if Some(i) == free {
                halves.push(None);
            }
            halves.extend(card.into_iter().map(Some));
        }
        let mut halves = halves.into_iter();
        while let Some(upper) = halves.next() {
            let mut page = Page::new(self.size);
            let middle = 0.5 * self.size[1];
            if let Some(half) = upper {
                self.place(&mut page, half, 0.0);
            }
            page.line(Role::CutApart, [0.0, middle], [self.size[0], middle]);
            if let Some(half) = halves.next().flatten() {
                self.place(&mut page, half, middle);
            }
            self.pages.push(page);
        }
    }

    fn halves_of(&mut self, card: Card) -> Vec<Half> {
        let width = self.size[0] - 2.0 * CARD_SIDE;
        let (title, whole) = self.fitted_title(&card.title, card.title_size, 0.6 * width);
        let [room, body] = self.card_room(&card.number, &card.title, card.title_size, &card.aside, &card.foot);
        let left_width = left_width(&card.drawn, card.list.as_ref(), room);
        let column = [width - left_width - BESIDE, body];
        let items: Vec<Block> = whole.into_iter().chain(card.items).collect();
        let texts = self.parted(items, column);
        let count = texts.len();
        let mut halves = Vec::new();
        for (i, text) in texts.into_iter().enumerate() {
            let head = head(Some(&card.number), &title, card.title_size, i > 0, &card.aside);
            let head = self.looks(Base::CARD).head(&head, width);
            // ticked in one place only: on the half where its step stands
            let list = card.list.as_ref().filter(|_| i + 1 == count);
            let left = self.left(&card.drawn, list, left_width);
            let foot = self.foot(&card.foot, width);
            let named = format!("{}  {title}", card.number);
            let place = (i == 0).then(|| Place { title: named, card: Some(card.number.clone()), y: 0.0 });
            halves.push(Half { head, left, left_width, text, foot, place });
        }
        halves
    }

    /// A card's text on one half; set closer on one; on two alike in height; on as many as it takes.
    fn parted(&mut self, items: Vec<Block>, column: [f64; 2]) -> Vec<Filled> {
        for base in [Base::CARD, Base::CLOSE_CARD] {
            if let Some(filled) = alone(&mut Looks::new(&mut self.faces, base), &items, column) {
                return vec![filled];
            }
        }
        let goes_on = Block::CardHead(strong(text::GOES_ON));
        let mut looks = Looks::new(&mut self.faces, Base::CARD);
        let under = looks.laid(&goes_on, column[0]).height() + distances(&goes_on)[0];
        let first_column = [column[0], column[1] - under];
        for base in [Base::CARD, Base::CLOSE_CARD] {
            let mut looks = Looks::new(&mut self.faces, base);
            if let Some([first, rest]) = alike(&mut looks, &items, first_column, column) {
                return vec![first.with(&mut looks, goes_on, column[0]), rest];
            }
        }
        let mut looks = Looks::new(&mut self.faces, Base::CARD);
        let mut stream = Stream::new(items);
        let mut parts = Vec::new();
        while !stream.is_empty() {
            parts.push(stream.fill(&mut looks, first_column, true, &mut self.remarks));
        }
        let last = parts.len() - 1;
        let each = parts.into_iter().enumerate();
        each.map(|(i, part)| if i < last { part.with(&mut looks, goes_on.clone(), column[0]) } else { part }).collect()
    }

    fn place(&mut self, page: &mut Page, half: Half, y: f64) {
        let body = y + ABOVE + half.head.height() + GAP;
        half.head.place(page, [CARD_SIDE, y + ABOVE]);
        half.left.place(page, [CARD_SIDE, body]);
        half.text.place(page, [CARD_SIDE + half.left_width + BESIDE, body]);
        let foot = y + 0.5 * self.size[1] - BELOW - half.foot.height();
        half.foot.place(page, [CARD_SIDE, foot]);
        page.places.extend(half.place.map(|place| Place { y, ..place }));
    }
}

/// A small drawing leaves its room to the text; a list under it wants it all.
fn left_width(drawn: &Drawn, list: Option<&List>, room: f64) -> f64 {
    match (&drawn.scene, list) {
        (_, Some(_)) => room,
        (None, None) => LEAST_LEFT,
        (Some(scene), None) => scene.view.width().clamp(LEAST_LEFT.min(room), room),
    }
}

/// Blocks that have a column to themselves; none where they have no room in it.
fn alone(looks: &mut Looks<'_>, blocks: &[Block], column: [f64; 2]) -> Option<Filled> {
    let (mut stream, mut remarks) = (Stream::new(blocks.iter().cloned()), Vec::new());
    let filled = stream.fill(looks, column, true, &mut remarks);
    (stream.is_empty() && remarks.is_empty()).then_some(filled)
}

/// Parts a card's text between two blocks so that both halves have room and are most alike in height.
fn alike(looks: &mut Looks<'_>, items: &[Block], first_column: [f64; 2], column: [f64; 2]) -> Option<[Filled; 2]> {
    let mut best: Option<(f64, [Filled; 2])> = None;
    for at in (1..items.len()).filter(|at| !items[at - 1].bound()) {
        // with one block more the first half only grows
        let Some(first) = alone(looks, &items[..at], first_column) else { break };
        let Some(rest) = alone(looks, &items[at..], column) else { continue };
        let before_heading = matches!(items[at], Block::CardHead(_));
        let uneven = (first.height - rest.height).abs() - if before_heading { WORTH_A_HEADING } else { 0.0 };
        if best.as_ref().is_none_or(|(least, _)| uneven < *least) {
            best = Some((uneven, [first, rest]));
        }
    }
    best.map(|(_, halves)| halves)
}

/// An odd number of halves leaves one free. Before which card it stands so that the fewest cards are parted
/// by a turn of the page; none if it may as well stand last.
fn free_half(counts: &[usize]) -> Option<usize> {
    let parted = |free: Option<usize>| {
        let mut at = 0;
        let mut parted = 0;
        for (i, count) in counts.iter().enumerate() {
            at += usize::from(free == Some(i));
            parted += usize::from(*count == 2 && at % 2 == 1);
            at += count;
        }
        parted
    };
    if counts.iter().sum::<usize>() % 2 == 0 {
        return None;
    }
    // the last of the best: a free half early in the book looks like a mistake
    let best = (0..counts.len()).rev().min_by_key(|free| parted(Some(*free)))?;
    (parted(Some(best)) < parted(None)).then_some(best)
}

#[cfg(test)]
mod tests {
    use super::free_half;

    #[test]
    fn a_free_half_stands_where_it_keeps_cards_together() {
        // upper, lower | two halves | one: nothing to mend
        assert_eq!(free_half(&[1, 1, 2, 1]), None);
        // without it the second card begins below and goes on overleaf
        assert_eq!(free_half(&[1, 2, 2]), Some(1));
        assert_eq!(free_half(&[1, 1, 1, 2, 2]), Some(3));
        // an even number leaves none
        assert_eq!(free_half(&[1, 2, 1]), None);
    }
}
