//! Cards of the job's cuts, and of the settings for its list of parts, with their drawings: fence, rail
//! and stop for each.

use holefast::cut::Places;
use holefast::drawing::{Role, Scene, cut_view, setting_view};
use holefast::parts::on_top::OnTop;
use holefast::words::cutting::CutCard;
use holefast::words::{bold, cutting, on_top as words_on_top};

use super::{CARD_SIDE, Ctx, card_keys, caution, marked};
use crate::book::lay::{CARD_PAGE, Column, Sheet};
use crate::book::{MorePages, text};
use crate::page::Base;
use crate::page::block::{Block, plain};

/// Share of the page's height that the drawing may take; what is to be done needs the rest.
const DRAWING_SHARE: f64 = 0.38;

impl Ctx<'_> {
    /// A card for each cut.
    pub(super) fn cuts(&mut self, cuts: &MorePages) -> Vec<Sheet> {
        let room = [self.size[0] - 2.0 * CARD_SIDE, DRAWING_SHARE * self.size[1]];
        let mut cards = Vec::new();
        for (number, settled) in cuts.settled.iter().enumerate() {
            let card = cutting::cut_card(self.job, &cuts.places, settled);
            let scene = cut_view(self.job, self.layout, &cuts.places, settled, room);
            let number = format!("{}{}", text::CUT_NUMBER, number + 1);
            cards.push(self.arrangement(number, card, scene));
        }
        cards
    }

    /// A card for each setting of a list of parts.
    pub(super) fn settings(&mut self, places: &Places, top: &OnTop) -> Vec<Sheet> {
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
            cards.push(self.arrangement(words_on_top::setting_name(number), card, scene));
        }
        cards
    }

    /// A page of an arrangement: the cautions stand beside the steps.
    fn arrangement(&mut self, number: String, card: CutCard, scene: Scene) -> Sheet {
        let keys = card_keys(&scene, &[(Role::HoleWanted, "dog hole")]);
        let foot = vec![self.job.name.clone(), text::CARD_FRAME.to_owned(), self.drawn(&scene), self.version()];
        let steps = card.lines.iter().zip(1..).map(|((what, said), number)| {
            Block::step(number, marked(format!("{} {said}.", bold(&format!("{what}:")))))
        });
        let cautions = card.cautions.iter().map(|text| caution(plain(text)));
        Sheet {
            number: Some(number),
            title_size: if card.title.chars().count() > 26 { 4.3 } else { 6.0 },
            title: card.title,
            aside: card.aside,
            base: Base::CARD,
            sides: CARD_PAGE,
            first: vec![self.picture(scene, keys)],
            columns: vec![
                Column { share: 1.4, blocks: steps.collect() },
                Column { share: 1.0, blocks: cautions.collect() },
            ],
            gap: 7.0,
            last: Vec::new(),
            foot,
        }
    }
}
