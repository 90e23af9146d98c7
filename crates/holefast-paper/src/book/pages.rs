//! Which page holds what: the book's model, gathered from words and drawings of the core.

use std::collections::BTreeMap;

use holefast::drawing::{
    OpeningsPart, Role, Scene, Theme, key_of, key_sign, openings_map, openings_view, setup_view, top_view,
};
use holefast::job::Units;
use holefast::words::{self, CardKind, CardLine, Rich, bold};
use holefast::{Job, Layout, Plan};

use super::model::{
    BlankTable, Block, Book, Card, Check, Entry, Figure, Key, Line, Opening, Page, Part, Picture, Room, Runs, ScaleBar,
    Share, Sheet, Table, Words, plain, runs,
};
use super::{BookOptions, Expectation, text};
use crate::svg;

/// Margins of pages and cards, mm; the template has the same.
const SIDE: f64 = 12.0;
const CARD_SIDE: f64 = 9.0;

/// What a card needs beside its drawing, mm: head, key, scale bar, foot and gaps.
const CARD_FURNITURE: f64 = 48.5;

/// Parts of the openings up to this many share a page with another card.
const FEW_OPENINGS: usize = 6;

/// Factor of the expanded uncertainty that papers state beside it: 95 in 100 of a normal one.
const FACTOR: &str = "1.96";

/// What every page needs.
struct Ctx<'a> {
    job: &'a Job,
    layout: &'a Layout,
    plan: &'a Plan,
    expected: &'a Expectation,
    digest: &'a str,
    size: [f64; 2],
    files: &'a mut BTreeMap<String, Vec<u8>>,
}

/// Gathers the book; drawings go into `files`.
pub fn gather(
    job: &Job,
    layout: &Layout,
    plan: &Plan,
    expected: &Expectation,
    options: &BookOptions,
    files: &mut BTreeMap<String, Vec<u8>>,
) -> Book {
    let size = options.paper.size();
    let mut ctx = Ctx { job, layout, plan, expected, digest: &options.digest, size, files };
    let mut parts = vec![ctx.cover(), ctx.kit(), ctx.safety()];
    let cards = words::cards(job, plan);
    let all: Vec<words::Card> = words::trial_card(job).into_iter().chain(cards).collect();
    let mut waiting: Vec<Card> = Vec::new();
    let mut mapped = false;
    for card in &all {
        if card.kind == CardKind::Openings {
            if !mapped {
                parts.extend(halves(&mut waiting, true));
                parts.push(ctx.order());
                mapped = true;
            }
            if card.openings.len() <= FEW_OPENINGS {
                let card = ctx.openings_card(card, card_room(size));
                waiting.push(card);
                parts.extend(halves(&mut waiting, false));
            } else {
                parts.extend(halves(&mut waiting, true));
                // A long list needs the lower half of the page.
                let lines = card.openings.len().div_ceil(5) as f64;
                let height = (size[1] - 132.0 - 6.1 * lines).clamp(60.0, 0.5 * size[1]);
                let card = ctx.openings_card(card, [size[0] - 2.0 * CARD_SIDE, height]);
                parts.push(Part::Whole { card: Box::new(card) });
            }
        } else {
            waiting.push(ctx.card(card));
            parts.extend(halves(&mut waiting, false));
        }
    }
    parts.extend(halves(&mut waiting, true));
    parts.push(ctx.finishing());
    parts.push(ctx.budget());
    parts.push(ctx.readings());
    Book {
        title: format!("{}: {}", text::BOOK.to_lowercase(), job.name),
        lang: "en",
        page: Page { width: size[0], height: size[1] },
        room: Room { width: card_room(size)[0], body: card_room(size)[1] + 11.0, columns: 5 },
        bar: scale_bar(job.units),
        words: Words { if_not: text::IF_NOT.to_owned() },
        parts,
    }
}

/// Two cards to a page; the last alone only when nothing follows.
fn halves(waiting: &mut Vec<Card>, last: bool) -> Option<Part> {
    let ready = waiting.len() >= 2 || (last && !waiting.is_empty());
    ready.then(|| Part::Halves { cards: std::mem::take(waiting) })
}

/// Room for the drawing of a card: width and height, mm.
fn card_room(size: [f64; 2]) -> [f64; 2] {
    [0.6 * (size[0] - 2.0 * CARD_SIDE), 0.5 * size[1] - CARD_FURNITURE]
}

fn scale_bar(units: Units) -> ScaleBar {
    match units {
        Units::Mm => ScaleBar { length: 50.0, parts: 5, label: "50\u{a0}mm on a rule".to_owned() },
        Units::Inch => ScaleBar { length: 50.8, parts: 4, label: "2\u{a0}in on a rule".to_owned() },
    }
}

fn marked(text: impl AsRef<str>) -> Runs {
    runs(&Rich::new(text))
}

impl Ctx<'_> {
    fn units_name(&self) -> &'static str {
        match self.job.units {
            Units::Mm => "mm",
            Units::Inch => "inches",
        }
    }

    fn length(&self, mm: f64) -> String {
        words::length(self.job.units, mm)
    }

    fn version(&self) -> String {
        format!("holefast {}, job {}", holefast::VERSION, self.digest.replace(' ', "\u{a0}"))
    }

    /// Foot of a page.
    fn foot(&self) -> Vec<String> {
        vec![self.job.name.clone(), format!("{}; {}", text::FRAME, self.units_name()), self.version()]
    }

    /// A page, its text as large as it may be (mm).
    fn sheet(&self, title: &str, aside: String, text_size: f64, blocks: Vec<Block>) -> Part {
        let title_size = if title.chars().count() > 30 { 6.5 } else { 8.0 };
        Part::Sheet {
            sheet: Sheet { title: title.to_owned(), title_size, text_size, aside, blocks, foot: self.foot() },
        }
    }

    /// Writes a scene into the files.
    fn picture(&mut self, scene: &Scene) -> Picture {
        let file = format!("/drawing-{}.svg", self.files.len());
        self.files.insert(file.clone(), svg(scene, &Theme::PAPER).into_bytes());
        Picture { file, width: scene.view.width(), height: scene.view.height(), about: scene.about.clone() }
    }

    /// The signs in use, each with its word; `rename` gives some of them another.
    fn keys(&mut self, scene: &Scene, rename: &[(Role, &str)]) -> Vec<Key> {
        key_of(scene)
            .into_iter()
            .map(|role| {
                let file = format!("/sign-{role:?}.svg");
                self.files.entry(file.clone()).or_insert_with(|| svg(&key_sign(role), &Theme::PAPER).into_bytes());
                let name = rename.iter().find(|(r, _)| *r == role).map_or_else(|| words::key_name(role), |(_, n)| n);
                Key { file, name: name.to_owned() }
            })
            .collect()
    }

    fn drawn(&self, scene: &Scene) -> String {
        format!("{}, drawn 1\u{a0}:\u{a0}{}", self.units_name(), scene.view.ratio)
    }

    fn cover(&mut self) -> Part {
        let room = [self.size[0] - 2.0 * SIDE, 0.45 * self.size[1]];
        let scene = top_view(self.job, self.layout, room);
        let drawn = self.drawn(&scene);
        let keys = self.keys(&scene, &[]);
        let picture = self.picture(&scene);
        let job = self.job;
        let u = job.units;
        let mut blocks = Vec::new();
        if !job.note.is_empty() {
            blocks.push(Block::Para { text: plain(&job.note) });
        }
        blocks.push(Block::Picture { picture, keys });
        let grid = self.layout.holes.iter().filter(|h| h.cell.is_some()).count();
        let mut items = vec![
            Figure {
                value: self.layout.holes.len().to_string(),
                unit: String::new(),
                name: "dog holes".to_owned(),
                size: 7.0,
            },
            Figure {
                value: format!("{} × {}", self.layout.rows, self.layout.columns),
                unit: String::new(),
                name: if grid == (self.layout.rows * self.layout.columns) as usize {
                    "rows × columns".to_owned()
                } else {
                    "rows × columns, in part".to_owned()
                },
                size: 7.0,
            },
        ];
        if let Some(weight) = &self.layout.weight {
            items.push(Figure {
                value: format!("{:.1}", weight.bored),
                unit: "kg".to_owned(),
                name: "when bored".to_owned(),
                size: 7.0,
            });
        }
        let setups = words::cards(job, self.plan).len();
        items.push(Figure {
            value: setups.to_string(),
            unit: String::new(),
            name: "set-ups, one card each".to_owned(),
            size: 7.0,
        });
        let hours = words::minutes(self.plan.minutes());
        items.push(Figure { value: hours, unit: String::new(), name: "of work, about".to_owned(), size: 5.6 });
        blocks.push(Block::Figures { items });
        let pitch = self.layout.pitch;
        let pitch = if pitch[0] == pitch[1] {
            self.length(pitch[0])
        } else {
            format!("{} along the rows, {} along the columns", self.length(pitch[0]), self.length(pitch[1]))
        };
        let a1 = self.layout.origin;
        blocks.push(Block::Para {
            text: marked(format!(
                "{} {} × {} × {}, {}. {} {pitch}, {} {} across. {} at {} and {} from the reference corner.",
                bold("Sheet"),
                words::bare_length(u, job.top.length),
                words::bare_length(u, job.top.width),
                self.length(job.top.thickness),
                job.top.material.name,
                bold("Pitch"),
                bold("holes"),
                self.length(job.grid.hole),
                bold("A1"),
                self.length(a1.x),
                self.length(a1.y),
            )),
        });
        blocks.extend(self.expectation());
        if !self.layout.conflicts.is_empty() {
            let names: Vec<String> = self.layout.conflicts.iter().map(|c| words::conflict_label(job, c)).collect();
            blocks.push(Block::Caution {
                text: marked(format!("{} {}.", bold("Left out, too near to something:"), names.join("; "))),
            });
        }
        blocks.push(Block::Head { text: text::USE_HEAD.to_owned() });
        blocks.push(Block::Bullets { items: text::USE.iter().copied().map(plain).collect() });
        let aside = format!("{}, {drawn}", text::BOOK.to_lowercase());
        let name = job.name.clone();
        self.sheet(&name, aside, 4.0, blocks)
    }

    /// The expectation in words, with what it leaves out.
    fn expectation(&self) -> Vec<Block> {
        let e = self.expected;
        let mut blocks = Vec::new();
        if let Some(within) = e.square_within {
            blocks.push(Block::Lead {
                text: format!(
                    "Expect this top to come out square within {}, {}.",
                    words::per_metre(within),
                    words::shares_of_hundred(e.confidence)
                ),
            });
        }
        let mut line = String::new();
        if let Some((limit, share)) = e.wanted {
            line += &format!("Wanted: {}; kept {}. ", words::per_metre(limit), words::shares_of_hundred(share));
        }
        if let Some(u) = e.square_u {
            line += &format!("Square: 0 ± {} (factor {FACTOR}, 95\u{a0}%; {}). ", words::per_metre(1.96 * u), e.basis);
        }
        if let Some(rms) = e.position_mm {
            line += &format!(
                "Holes lie within about {} of their places, root mean square. ",
                words::fine(self.job.units, rms)
            );
        }
        if !line.is_empty() {
            blocks.push(Block::Para { text: plain(line.trim_end()) });
        }
        let left_out = if e.left_out.is_empty() {
            text::LEFT_OUT.iter().map(|s| (*s).to_owned()).collect()
        } else {
            e.left_out.clone()
        };
        blocks.push(Block::Para { text: marked(format!("{} {}.", bold("Not counted:"), left_out.join(", "))) });
        blocks
    }

    fn kit(&mut self) -> Part {
        let job = self.job;
        let u = job.units;
        let mut blocks = vec![Block::Small {
            text: plain(
                "Lay it all out before you begin. Diameters are limits: measure what you have, and correct the job where it differs.",
            ),
        }];
        if let Some(kit) = &job.kit {
            let mut rows: Vec<Vec<Runs>> = Vec::new();
            let mut row = |what: String, count: String, size: String, note: String| {
                rows.push(vec![marked(bold(&what)), plain(count), plain(size), plain(note)]);
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
                    format!("reach {}", words::length(u, kit.block.reach[0]))
                } else {
                    format!(
                        "reach {} along rows, {} along columns",
                        words::length(u, kit.block.reach[0]),
                        words::length(u, kit.block.reach[1])
                    )
                },
                format!(
                    "places for a pin {} or a dog {}",
                    words::limits(u, kit.block.bore_pin),
                    words::limits(u, kit.block.bore_dog)
                ),
            );
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
            row(
                "Clamps".to_owned(),
                "4".to_owned(),
                kit.clamp_reach.map_or_else(String::new, |r| format!("reach {} from an edge", words::length(u, r))),
                "two for the sheet, two for bars or block".to_owned(),
            );
            blocks.push(Block::Table {
                table: Table {
                    widths: vec![3.0, 1.1, 3.6, 5.6],
                    head: ["what", "how many", "size", "remark"].map(str::to_owned).to_vec(),
                    rows,
                },
            });
        }
        blocks.push(Block::Head { text: "Material".to_owned() });
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
        blocks.push(Block::Bullets { items: items.iter().map(marked).collect() });
        if let Some(kit) = job.kit.as_ref().filter(|k| k.minutes.assumed) {
            let m = kit.minutes;
            blocks.push(Block::Small {
                text: plain(format!(
                    "Times are assumed: {} a set-up, {} a pilot, {} an opening, in minutes; enter your own as kit.minutes.",
                    m.setup, m.pilot, m.opening
                )),
            });
        }
        let reasons = &self.plan.reasons;
        if !reasons.is_empty() {
            blocks.push(Block::Head { text: "Why this plan".to_owned() });
            blocks.push(Block::Bullets { items: reasons.iter().map(plain).collect() });
        }
        self.sheet(text::KIT, String::new(), 4.0, blocks)
    }

    fn safety(&mut self) -> Part {
        let weight = self.layout.weight.as_ref().map(|w| w.whole);
        let all = words::cautions(self.job, self.plan, weight);
        let half = all.len().div_ceil(2);
        let column = |part: &[words::Caution]| -> Vec<Block> {
            part.iter()
                .flat_map(|c| {
                    [
                        Block::Head { text: c.head.clone() },
                        Block::Bullets { items: c.lines.iter().map(plain).collect() },
                    ]
                })
                .collect()
        };
        let blocks = vec![
            Block::Para { text: plain("Each caution stands again on the card where it is needed, before the act.") },
            Block::Columns { items: vec![column(&all[..half]), column(&all[half..])] },
        ];
        self.sheet(text::SAFETY, String::new(), 4.6, blocks)
    }

    /// A card on half a page.
    fn card(&mut self, card: &words::Card) -> Card {
        let (picture, keys, drawn) = match card.setups.first() {
            Some(&index) => {
                let scene = setup_view(self.job, self.layout, self.plan, index, card_room(self.size));
                let keys = self.keys(&scene, &[]);
                let drawn = self.drawn(&scene);
                (Some(self.picture(&scene)), keys.into_iter().filter(|k| k.name != "reference corner").collect(), drawn)
            }
            None => (None, Vec::new(), self.units_name().to_owned()),
        };
        let number = card.setups.first().and_then(|&i| self.plan.setups.get(i)).map(|s| s.number);
        self.set(card, picture, keys, &drawn, number)
    }

    /// A part of the openings.
    fn openings_card(&mut self, card: &words::Card, room: [f64; 2]) -> Card {
        let first = card.openings.first().map_or(1, |o| o.order as usize);
        let part = OpeningsPart { setups: card.setups.clone(), first };
        let scene = openings_view(self.job, self.layout, self.plan, &part, room);
        let keys = self.keys(&scene, &[(Role::BoreNow, "open now, in order")]);
        let keys = keys.into_iter().filter(|k| k.name != "reference corner").collect();
        let drawn = self.drawn(&scene);
        let picture = self.picture(&scene);
        self.set(card, Some(picture), keys, &drawn, None)
    }

    /// A card of the core as the template takes it.
    fn set(
        &self,
        card: &words::Card,
        picture: Option<Picture>,
        keys: Vec<Key>,
        drawn: &str,
        number: Option<u32>,
    ) -> Card {
        let check = card.check.as_ref().map(|c| {
            let mut limit = runs(&c.limit);
            if let Some(worth) = number.and_then(|n| self.expected.checks.iter().find(|w| w.setup == n)) {
                let mut text = format!(" It goes on {} of all boards", words::share(worth.goes));
                if let Some(mm) = worth.stops_hole_mm {
                    text += &format!(" and stops a hole {} out", words::fine(self.job.units, mm));
                }
                if let Some(lean) = worth.stops_lean {
                    text += &format!(", or a column {} askew", words::per_metre(lean));
                }
                limit.extend(plain(text + "."));
            }
            let tick = card.kind == CardKind::Check;
            Check {
                limit,
                entries: c
                    .entries
                    .iter()
                    .map(|name| Entry { name: name.clone(), tick: tick && name.starts_with("it ") })
                    .collect(),
                if_not: c.if_not.iter().map(runs).collect(),
            }
        });
        let long = card.title.chars().count();
        Card {
            number: card.number.clone(),
            title: card.title.clone(),
            title_size: if long > 40 { 5.0 } else { 6.0 },
            aside: card.aside.clone(),
            picture,
            keys,
            lines: card
                .lines
                .iter()
                .map(|l| match l {
                    CardLine::Step(t) => Line::Step { text: runs(t) },
                    CardLine::Caution(t) => Line::Caution { text: runs(t) },
                })
                .collect(),
            list_head: "In this order; the block stands on the holes named beside each.".to_owned(),
            openings: card
                .openings
                .iter()
                .map(|o| Opening { order: o.order, hole: o.hole.clone(), on: o.on.join(" ") })
                .collect(),
            check,
            stuck: card.stuck.as_ref().map(runs),
            next: card.next.as_ref().map(runs),
            foot: vec![self.job.name.clone(), text::CARD_FRAME.to_owned(), drawn.to_owned(), self.version()],
        }
    }

    fn order(&mut self) -> Part {
        let room = [self.size[0] - 2.0 * SIDE, 0.5 * self.size[1]];
        let scene = openings_map(self.job, self.layout, self.plan, room);
        let keys = self.keys(&scene, &[(Role::Opened, "first pass"), (Role::HoleWanted, "second pass")]);
        let keys: Vec<Key> = keys.into_iter().filter(|k| k.name != "reference corner").collect();
        let drawn = self.drawn(&scene);
        let picture = self.picture(&scene);
        let cards = words::cards(self.job, self.plan);
        let rows: Vec<Vec<Runs>> = cards
            .iter()
            .filter(|c| c.kind == CardKind::Openings)
            .map(|c| {
                vec![
                    marked(bold(&c.number)),
                    plain(&c.title),
                    plain(c.aside.get(1).map_or("", |a| a.trim_start_matches("openings ")).to_owned()),
                    plain(c.aside.first().and_then(|a| a.split_once(", ")).map_or("", |(_, time)| time)),
                ]
            })
            .collect();
        let blocks = vec![
            Block::Para {
                text: plain(
                    "A pin cannot stand in a hole that is opened already, nor a dog in a pilot: so every other hole is \
                     opened first, the block on pins, and those between after them, the block on dogs. The figure at \
                     a hole is its place in the order.",
                ),
            },
            Block::Picture { picture, keys },
            Block::Table {
                table: Table {
                    widths: vec![0.8, 5.0, 1.6, 2.0],
                    head: ["set-up", "how", "openings", "time"].map(str::to_owned).to_vec(),
                    rows,
                },
            },
            Block::Caution {
                text: marked(format!(
                    "{} every opening is clamped, backed, and done with both hands on the drill.",
                    bold("Big bit:")
                )),
            },
        ];
        self.sheet(text::ORDER, drawn, 4.0, blocks)
    }

    fn finishing(&mut self) -> Part {
        let mdf = self.job.top.material.name.to_lowercase().contains("mdf");
        let mut steps: Vec<&str> = text::FINISH.to_vec();
        steps.insert(4, if mdf { text::FINISH_MDF } else { text::FINISH_WOOD });
        let lines = steps.into_iter().map(|s| Line::Step { text: plain(s) }).collect();
        let room = [self.size[0] - 2.0 * SIDE, 0.42 * self.size[1]];
        let scene = top_view(self.job, self.layout, room);
        let drawn = self.drawn(&scene);
        let picture = self.picture(&scene);
        let blocks = vec![Block::Steps { lines }, Block::Picture { picture, keys: Vec::new() }];
        self.sheet(text::FINISHING, drawn, 4.0, blocks)
    }

    fn budget(&mut self) -> Part {
        let e = self.expected;
        let mut blocks = self.expectation();
        if e.budget.is_empty() {
            blocks.push(Block::Para { text: plain("No budget was worked out for this book.") });
        } else {
            blocks
                .push(Block::Head { text: "Where it comes from, largest first, and what would lessen it".to_owned() });
            blocks.push(Block::Shares {
                items: e
                    .budget
                    .iter()
                    .map(|row| Share {
                        name: words::expected::group_name(row.group).to_owned(),
                        part: row.share.clamp(0.0, 1.0),
                        share: words::share(row.share),
                        lessen: row.lessen.clone(),
                    })
                    .collect(),
            });
            blocks.push(Block::Small {
                text: plain(
                    "Shares of the square of square's standard uncertainty: they add, the uncertainties do not.",
                ),
            });
        }
        if !e.checks.is_empty() {
            blocks.push(Block::Head { text: "What the checks are worth".to_owned() });
            let cards = words::cards(self.job, self.plan);
            let rows = e
                .checks
                .iter()
                .map(|c| {
                    vec![
                        marked(bold(&self.place_of(&cards, c.setup).unwrap_or_default())),
                        plain(words::share(c.goes)),
                        plain(c.stops_hole_mm.map_or("–".to_owned(), |v| words::fine(self.job.units, v))),
                        plain(c.stops_lean.map_or("–".to_owned(), words::per_metre)),
                    ]
                })
                .collect();
            blocks.push(Block::Table {
                table: Table {
                    widths: vec![1.0, 1.4, 2.0, 2.0],
                    head: ["set-up", "goes", "stops a hole out by", "stops a column askew by"]
                        .map(str::to_owned)
                        .to_vec(),
                    rows,
                },
            });
        }
        if !e.does_not_seat.is_empty() {
            let cards = words::cards(self.job, self.plan);
            let list: Vec<String> = e
                .does_not_seat
                .iter()
                .filter_map(|(n, share)| Some(format!("{} ({})", self.place_of(&cards, *n)?, words::share(*share))))
                .collect();
            blocks.push(Block::Para {
                text: plain(format!(
                    "Set-ups in which a pin may bind, with the share of tops: {}. Clear chips, swap pins, turn the bar; \
                     do not force it.",
                    list.join("; ")
                )),
            });
        }
        self.sheet(text::BUDGET, String::new(), 4.0, blocks)
    }

    /// Where a set-up of the plan stands in the book: its card, and the hole where one card has many.
    fn place_of(&self, cards: &[words::Card], number: u32) -> Option<String> {
        let index = self.plan.setups.iter().position(|s| s.number == number)?;
        let card = cards.iter().find(|c| c.setups.contains(&index))?;
        Some(match self.plan.setups[index].bores.first().filter(|_| card.setups.len() > 1) {
            Some(bore) => format!("{}, {}", card.number, bore.hole),
            None => card.number.clone(),
        })
    }

    fn readings(&mut self) -> Part {
        let grid = || self.layout.holes.iter().filter_map(|h| h.cell.map(|c| (c, h)));
        let least = grid().min_by_key(|(c, _)| (c.row + c.column, c.row));
        let most = grid().max_by_key(|(c, _)| (c.row + c.column, c.row));
        let mut first = "Write every reading as it is made, even one that looks wrong.".to_owned();
        if let (Some((_, a)), Some((_, b))) = (least, most) {
            first += &format!(
                " A good first one: {} to {}, centre to centre {}; then the other diagonal with the same tape. Equal \
                 diagonals tell of square.",
                a.name,
                b.name,
                self.length(a.centre.distance(b.centre))
            );
        }
        let tall = self.size[1] - 75.0;
        let table = BlankTable {
            widths: vec![2.4, 1.3, 1.3, 2.2, 2.4, 1.8],
            head: ["what", "from", "to", "made with", "reading", "date"].map(str::to_owned).to_vec(),
            count: (tall / 10.0).floor() as u32,
            height: 10.0,
        };
        let blocks = vec![
            Block::Para { text: plain(first) },
            Block::Small {
                text: plain(format!(
                    "What: distance, offset, angle or strip of a test cut. Say whether over pins, over dogs or centre \
                     to centre. Readings in {}.",
                    self.units_name()
                )),
            },
            Block::Blank { table },
        ];
        self.sheet(text::READINGS, "as many copies as needed".to_owned(), 3.7, blocks)
    }
}
