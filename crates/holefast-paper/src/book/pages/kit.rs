//! Kit and material: what to lay out and mark before the work begins.

use holefast::plan::HoldBy;
use holefast::words::{self, bold};

use super::{Ctx, bullets, marked};
use crate::book::lay::Sheet;
use crate::book::text;
use crate::page::block::{Block, Row, plain};

/// Clamps that hold the sheet on its backing: at two ends (common practice, no source).
const CLAMPS_ON_SHEET: usize = 2;

impl Ctx<'_> {
    pub(super) fn kit(&mut self) -> Sheet {
        let job = self.job;
        let u = job.units;
        let mut blocks = vec![Block::Small(plain(
            "Lay it all out before you begin. Diameters are limits: measure what you have, and correct the job where it differs.",
        ))];
        if let Some(kit) = &job.kit {
            let mut rows: Vec<Row> = Vec::new();
            let mut row = |what: String, count: String, size: String, note: String| {
                rows.push(Row::of([marked(bold(&what)), plain(count), plain(size), plain(note)]));
            };
            for bar in &kit.bars {
                let names = if bar.count == 1 {
                    format!("Bar {}1", bar.name)
                } else {
                    format!("Bars {}1 to {}{}", bar.name, bar.name, bar.count)
                };
                let mut note = format!(
                    "bores {}; holes within ± {} of their places",
                    words::limits(u, bar.bore),
                    words::fine(u, bar.position)
                );
                if !bar.turn_over {
                    note += "; one face up only";
                }
                row(
                    names,
                    bar.count.to_string(),
                    format!("{} holes, {} apart", bar.holes, words::length(u, bar.pitch)),
                    note,
                );
            }
            row(
                "Pins".to_owned(),
                kit.pin.count.to_string(),
                words::limits(u, kit.pin.diameter),
                kit.pin.length.map_or_else(String::new, |l| format!("{} long; count them back", words::length(u, l))),
            );
            for gauge in &kit.gauges {
                row(
                    "Gauges".to_owned(),
                    gauge.count.to_string(),
                    words::limits(u, gauge.diameter),
                    if gauge.assumed {
                        "assumed: shanks of a drill one size under the pin; measure yours".to_owned()
                    } else {
                        "thinner pins or drill shanks, for checks only".to_owned()
                    },
                );
            }
            row(
                "Pilot bit".to_owned(),
                "1".to_owned(),
                words::limits(u, kit.pilot_bit.diameter),
                kit.pilot_bit.length.map_or_else(String::new, |l| format!("{} long, sharp", words::length(u, l))),
            );
            row(
                "Guide block K1".to_owned(),
                "1".to_owned(),
                if kit.block.reach[0] == kit.block.reach[1] {
                    format!("reach {}, from its bush to the place at either side", words::length(u, kit.block.reach[0]))
                } else {
                    format!(
                        "reach {} along rows, {} along columns",
                        words::length(u, kit.block.reach[0]),
                        words::length(u, kit.block.reach[1])
                    )
                },
                format!(
                    "each place bored in steps: {} for a dog, {} below it for a pin",
                    words::limits(u, kit.block.bore_dog),
                    words::limits(u, kit.block.bore_pin)
                ),
            );
            if words::needs_sleeve(self.plan) {
                row(
                    "Sleeve".to_owned(),
                    "1".to_owned(),
                    format!("outside {}", words::limits(u, kit.opening_bit.diameter)),
                    format!(
                        "fills the bush, bored for the pilot bit ({}): the block stands on it where a hole has one neighbour",
                        words::limits(u, kit.pilot_bit.diameter)
                    ),
                );
            }
            row(
                "Big bit".to_owned(),
                "1".to_owned(),
                words::limits(u, kit.opening_bit.diameter),
                "in a drill with a side handle and a low speed".to_owned(),
            );
            row(
                "Dogs".to_owned(),
                kit.dog.count.to_string(),
                words::limits(u, kit.dog.diameter),
                "close-fitting".to_owned(),
            );
            let clamps = words::clamps_at_once(self.plan).max(1);
            row(
                "Clamps".to_owned(),
                (CLAMPS_ON_SHEET + clamps).to_string(),
                kit.clamp_reach.map_or_else(String::new, |r| format!("reach {} from an edge", words::length(u, r))),
                format!("{CLAMPS_ON_SHEET} for the sheet, {clamps} for bars or block"),
            );
            if self.plan.setups.iter().flat_map(|s| &s.hold).any(|h| matches!(h.by, HoldBy::HoldDown(_))) {
                row(
                    "Hold-down".to_owned(),
                    "1".to_owned(),
                    kit.hold_down.map_or_else(String::new, |r| format!("reach {}", words::length(u, r))),
                    "stands in a finished dog hole, its pad on the block".to_owned(),
                );
            }
            blocks.push(self.table(&[3.0, 1.1, 3.6, 5.6], &["what", "how many", "size", "remark"], rows));
        }
        blocks.push(Block::Head(plain(text::MARK_HEAD)));
        blocks.extend(bullets(text::MARK.into_iter().map(plain)));
        blocks.push(Block::Head(plain("Material")));
        let packing = job.kit.as_ref().and_then(|k| k.bars.iter().find_map(|b| b.thickness)).map_or_else(
            || "of the bars' thickness".to_owned(),
            |t| format!("{} thick, as the bars are", words::length(u, t)),
        );
        let sheet = format!(
            "{} {}, {} × {} × {}; both long edges straight, the reference edge planed or factory-cut.",
            bold("Sheet:"),
            job.top.material.name,
            words::bare_length(u, job.top.length),
            words::bare_length(u, job.top.width),
            words::length(u, job.top.thickness)
        );
        let items = [
            sheet,
            format!("{} of the same sheet, two hands wide, for the trial bore.", bold("Offcut")),
            format!(
                "{} under every hole that is bored, so that it does not break out; a strip will do.",
                bold("Backing board")
            ),
            format!("{} {packing}, to level the bar that lies over another.", bold("Packing,")),
            format!("{} across the top, to hold the block where clamps do not reach.", bold("Batten and screws")),
            format!(
                "{} for pencil marks and a caliper to a hundredth or a thousandth of an inch.",
                bold("Tape, rule, try square")
            ),
            format!("{} with extraction at the bit, mask, eye and ear protection.", bold("Vacuum")),
            format!("{} of the pilot's diameter and glue, should a hole go wrong.", bold("Dowel")),
        ];
        blocks.extend(bullets(items.iter().map(marked)));
        if let Some(kit) = job.kit.as_ref().filter(|k| k.minutes.assumed) {
            blocks.push(Block::Small(plain(words::outline::minutes_assumed(kit.minutes))));
        }
        self.sheet(text::KIT, String::new(), 4.0, blocks)
    }
}
