//! Cards of the job's cuts, and of the settings for its list of parts, with their drawings: fence, rail
//! and stop for each.

use holefast::cut::Places;
use holefast::drawing::{Role, Scene, cut_view, setting_view};
use holefast::parts::on_top::OnTop;
use holefast::words::cutting::CutCard;
use holefast::words::{bold, cutting, on_top as words_on_top};

use super::{CARD_SIDE, Ctx, marked};
use crate::book::MorePages;
use crate::book::model::{Card, Line, plain};
use crate::book::text;

/// Share of the page's height that the drawing may take; what is to be done needs the rest.
const DRAWING_SHARE: f64 = 0.38;

impl Ctx<'_> {
    /// A card for each cut.
    pub(super) fn cuts(&mut self, cuts: &MorePages) -> Vec<Card> {
        let room = [self.size[0] - 2.0 * CARD_SIDE, DRAWING_SHARE * self.size[1]];
        let mut cards = Vec::new();
        for (number, settled) in cuts.settled.iter().enumerate() {
            let card = cutting::cut_card(self.job, &cuts.places, settled);
            let scene = cut_view(self.job, self.layout, &cuts.places, settled, room);
            let number = format!("{}{}", text::CUT_NUMBER, number + 1);
            cards.push(self.arrangement(number, card, &scene));
        }
        cards
    }

    /// A card for each setting of a list of parts.
    pub(super) fn settings(&mut self, places: &Places, top: &OnTop) -> Vec<Card> {
        let room = [self.size[0] - 2.0 * CARD_SIDE, DRAWING_SHARE * self.size[1]];
        let mut cards = Vec::new();
        for (number, set_up) in top.set_ups.iter().enumerate() {
            let mut lines = words_on_top::own_lines(self.job, places, set_up);
            lines.push(("Room", words_on_top::setting_room(self.job, places, set_up)));
            let card = CutCard {
                title: text::SETTING.to_owned(),
                aside: words_on_top::setting_aside(set_up).split(", ").map(str::to_owned).collect(),
                lines,
                cautions: words_on_top::setting_cautions(self.job, set_up),
            };
            let scene = setting_view(self.job, self.layout, places, set_up, room);
            cards.push(self.arrangement(words_on_top::setting_name(number), card, &scene));
        }
        cards
    }

    /// A page of an arrangement.
    fn arrangement(&mut self, number: String, card: CutCard, scene: &Scene) -> Card {
        let keys = self
            .keys(scene, &[(Role::HoleWanted, "dog hole")])
            .into_iter()
            .filter(|k| k.name != "reference corner")
            .collect();
        let drawn = self.drawn(scene);
        let mut lines: Vec<Line> = card
            .lines
            .iter()
            .map(|(what, said)| Line::Step { text: marked(format!("{} {said}.", bold(&format!("{what}:")))) })
            .collect();
        lines.extend(card.cautions.iter().map(|text| Line::Caution { text: plain(text.clone()) }));
        Card {
            number,
            title_size: if card.title.chars().count() > 26 { 4.3 } else { 6.0 },
            title: card.title,
            aside: card.aside,
            picture: Some(self.picture(scene)),
            keys,
            notes: Vec::new(),
            lines,
            list_head: String::new(),
            list_columns: 1,
            openings: Vec::new(),
            check: None,
            stuck: None,
            next: None,
            foot: vec![self.job.name.clone(), text::CARD_FRAME.to_owned(), drawn, self.version()],
        }
    }
}
