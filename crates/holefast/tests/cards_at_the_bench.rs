//! What the cards must not leave out, looked for in the plan's own data by another way than the cards' words are
//! made: every bar that stands out, every pin that is drawn before its hole is drilled, every "card N".

use std::collections::BTreeSet;
use std::sync::OnceLock;

use holefast::job::parse;
use holefast::plan::{Bit, Place, Plan, PlanOptions, Setup, Template, TemplateKind, With, make_plan};
use holefast::testing::made::made_top;
use holefast::top::{KeepOut, KeepOutShape, Side, lay_out};
use holefast::words::{Card, CardLine, cards};
use holefast::{Job, math};

/// Made tops looked at beside the examples.
const TOPS: u64 = 40;

/// A bar that stands out by so much is always worth a word, mm: what is less may be passed over.
const PLAINLY_OUT: f64 = 30.0;

const EXAMPLES: [&str; 3] = [
    include_str!("../../../examples/first-top.toml"),
    include_str!("../../../examples/press-bench.toml"),
    include_str!("../../../examples/trailer-top.toml"),
];

/// What a job is called here, the job, its plan and its cards.
type Planned = (String, Job, Plan, Vec<Card>);

/// Jobs with their plans and cards, made once for all tests here.
fn planned() -> &'static [Planned] {
    static PLANNED: OnceLock<Vec<Planned>> = OnceLock::new();
    PLANNED.get_or_init(plan_all)
}

fn plan_all() -> Vec<Planned> {
    let made = (0..TOPS).map(|seed| (format!("made top {seed}"), made_top(seed)));
    let examples = EXAMPLES.iter().zip(1..).map(|(text, n)| (format!("example {n}"), (*text).to_owned()));
    examples
        .chain(made)
        .filter_map(|(name, text)| {
            let job = parse(&text).job?;
            let plan = make_plan(&job, &lay_out(&job).ok()?, &PlanOptions::default()).ok()?;
            let cards = cards(&job, &plan);
            Some((name, job, plan, cards))
        })
        .collect()
}

fn text(line: &CardLine) -> String {
    match line {
        CardLine::Step(text) | CardLine::Caution(text) => text.plain(),
    }
}

fn cautions(card: &Card) -> Vec<String> {
    card.lines.iter().filter(|line| matches!(line, CardLine::Caution(_))).map(text).collect()
}

/// How far a bar's end stands beyond the sheet, mm, along its middle.
fn out(job: &Job, setup: &Setup, template: &Template) -> Option<f64> {
    let placed = setup.templates.iter().find(|t| t.id == template.id)?;
    let last = template.features.last()?.x_mm;
    let beyond = job.kit.as_ref()?.bars.iter().find(|bar| template.id.starts_with(&bar.name))?.beyond.unwrap_or(0.0);
    let (sin, cos) = math::sin_cos(placed.turn_deg.to_radians());
    let ends = [-beyond, last + beyond].map(|along| [placed.x_mm + cos * along, placed.y_mm + sin * along]);
    let over = |[x, y]: [f64; 2]| (-x).max(x - job.top.length).max(-y).max(y - job.top.width);
    Some(ends.map(over).into_iter().fold(f64::NEG_INFINITY, f64::max))
}

#[test]
fn every_bar_that_stands_out_has_its_caution() {
    let mut found = 0;
    for (name, job, plan, cards) in planned() {
        for card in cards {
            for setup in
                card.setups.iter().map(|&index| &plan.setups[index]).filter(|s| s.bores.len() + s.pins.len() > 0)
            {
                for template in plan.templates.iter().filter(|t| t.kind == TemplateKind::Bar) {
                    if out(job, setup, template).is_none_or(|out| out < PLAINLY_OUT) {
                        continue;
                    }
                    found += 1;
                    let said =
                        cautions(card).iter().any(|text| text.contains(&template.id) && text.contains("stands out"));
                    assert!(said, "{name}, card {}: {} stands out: {:?}", card.number, template.id, card.lines);
                }
            }
        }
    }
    assert!(found > 100, "only {found} bars stood out");
}

#[test]
fn before_every_hole_in_which_a_pin_stood_the_pin_is_drawn() {
    let mut found = 0;
    for (name, _, plan, cards) in planned() {
        for card in cards {
            for setup in card.setups.iter().map(|&index| &plan.setups[index]).filter(|s| !s.templates.is_empty()) {
                for bore in setup.bores.iter().filter(|bore| bore.bit != Bit::Opening) {
                    if !setup.pins.iter().any(|pin| pin.a == bore.feature || pin.b == bore.feature) {
                        continue;
                    }
                    found += 1;
                    let at =
                        card.lines.iter().position(|line| text(line).starts_with(&format!("Bore {} where", bore.hole)));
                    let at = at.unwrap_or_else(|| panic!("{name}, card {}: {} is not bored", card.number, bore.hole));
                    let before = card.lines[..at].last().map(|line| (matches!(line, CardLine::Caution(_)), text(line)));
                    let drawn = before.is_some_and(|(caution, text)| {
                        caution && text.starts_with(&format!("Before {}:", bore.hole)) && text.contains("draw the pin")
                    });
                    assert!(drawn, "{name}, card {}: the pin in {} is not drawn first", card.number, bore.hole);
                }
            }
        }
    }
    assert!(found > 40, "only {found} pins were drawn");
}

/// The numbers after "card" or "cards" in a text.
fn cards_named(text: &str) -> BTreeSet<usize> {
    let mut words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    let mut named = BTreeSet::new();
    while let Some(word) = words.next() {
        if matches!(word, "card" | "cards") {
            named.extend(words.clone().map_while(|word| word.parse::<usize>().ok()));
        }
    }
    named
}

#[test]
fn a_failed_check_sends_to_the_card_that_bored_the_hole() {
    let mut found = 0;
    for (name, _, plan, cards) in planned() {
        for (check, words) in cards.iter().filter_map(|card| Some((card, card.check.as_ref()?))) {
            let remedy: String = words.if_not.iter().map(|text| text.plain() + " ").collect();
            for line in remedy.split("Lay ").skip(1).filter(|line| line.contains("no gauge enters ")) {
                let hole: String =
                    line.split("no gauge enters ").nth(1).unwrap().chars().take_while(|c| *c != ' ').collect();
                let before = line.split("no gauge enters ").next().unwrap();
                for number in cards_named(before) {
                    found += 1;
                    let card = cards.iter().find(|card| card.number == number.to_string());
                    let bored = card.is_some_and(|card| {
                        card.setups.iter().any(|&index| {
                            plan.setups[index].bores.iter().any(|b| b.hole == hole && b.bit != Bit::Opening)
                        })
                    });
                    assert!(bored, "{name}, card {}: {hole} was not bored on card {number}: {line}", check.number);
                }
            }
        }
    }
    assert!(found > 20, "only {found} cards were named");
}

#[test]
fn what_comes_next_is_the_next_card() {
    let mut found = 0;
    for (name, _, _, cards) in planned() {
        for (card, next) in cards.iter().zip(&cards[1..]) {
            let Some(named) = card.next.as_ref().map(|said| cards_named(&said.plain())) else { continue };
            if named.is_empty() {
                continue;
            }
            found += 1;
            let right = named.contains(&next.number.parse().unwrap_or(usize::MAX));
            assert!(right, "{name}, card {}: {} follows, not {named:?}", card.number, next.number);
        }
    }
    assert!(found > 100, "only {found} cards named the next");
}

/// A check's limit is the clearance of its two gauges in bar and pilot, taken from the kit's own figures: what they
/// have to spare on the diameter, half of it each way, at both ends.
#[test]
fn a_checks_limit_is_what_its_gauges_have_to_spare() {
    let mut found = 0;
    for (name, job, plan, _) in planned() {
        let Some(kit) = &job.kit else { continue };
        for setup in plan.setups.iter().filter(|setup| setup.check) {
            let Some(limit) = setup.limit else { continue };
            let spare: f64 = setup
                .pins
                .iter()
                .map(|pin| {
                    let Place::Feature { template, feature } = &pin.a else { panic!("a gauge stands in a bar") };
                    let bore =
                        plan.template(template).and_then(|t| t.features.iter().find(|f| f.name == *feature)?.bore_mm);
                    let gauge = match pin.with {
                        With::Gauge(limits) => limits.mean(),
                        _ => kit.pin.diameter.mean(),
                    };
                    let pilot = kit.pilot_bit.diameter.mean() + kit.pilot_bit.oversize.mean();
                    0.5 * (bore.expect("bars have bores").mean() - gauge) + 0.5 * (pilot - gauge)
                })
                .sum();
            found += 1;
            assert!((limit.misfit_mm - spare).abs() < 1e-9, "{name}: a limit of {} for {spare}", limit.misfit_mm);
        }
    }
    assert!(found > 40, "only {found} checks");
}

/// Where something stands on the sheet no bar lies, between its first hole and its last. Points of the bar's middle and
/// edges are tried one by one.
#[test]
fn no_bar_lies_where_something_stands() {
    /// From one point tried to the next, mm.
    const STEP: f64 = 4.0;
    let mut found = 0;
    // what made tops have below stands above as well
    let above = |seed| {
        let mut job = parse(&made_top(seed)).job?;
        job.keep_outs.iter_mut().for_each(|keep_out| keep_out.side = Side::Both);
        let plan = make_plan(&job, &lay_out(&job).ok()?, &PlanOptions::default()).ok()?;
        Some((format!("made top {seed}"), job, plan))
    };
    for (name, job, plan) in (0..2 * TOPS).filter_map(above) {
        let standing: Vec<&KeepOut> = job.keep_outs.iter().collect();
        let Some(kit) = job.kit.as_ref().filter(|_| !standing.is_empty()) else { continue };
        for setup in &plan.setups {
            for placed in &setup.templates {
                let Some(template) = plan.template(&placed.id).filter(|t| t.kind == TemplateKind::Bar) else {
                    continue;
                };
                let bar = kit.bars.iter().find(|bar| template.id.starts_with(&bar.name));
                let half = bar.and_then(|bar| bar.width).map_or(0.0, |width| 0.5 * width);
                let last = template.features.last().map_or(0.0, |feature| feature.x_mm);
                let (sin, cos) = math::sin_cos(placed.turn_deg.to_radians());
                for i in 0..=(last / STEP) as usize {
                    for side in [-half, 0.0, half] {
                        let along = STEP * i as f64;
                        let (x, y) = (placed.x_mm + cos * along - sin * side, placed.y_mm + sin * along + cos * side);
                        let hit = standing.iter().find(|k| covers(&k.shape, x, y));
                        assert!(
                            hit.is_none(),
                            "{name}: {} lies under {:?} at {x}, {y}",
                            placed.id,
                            hit.map(|k| &k.name)
                        );
                        found += 1;
                    }
                }
            }
        }
    }
    assert!(found > 10_000, "only {found} points were tried");
}

/// True well inside: what touches is no matter here, clearances are looked at elsewhere.
fn covers(shape: &KeepOutShape, x: f64, y: f64) -> bool {
    const INSIDE: f64 = 0.5;
    match *shape {
        KeepOutShape::Rect { x: x0, y: y0, length, width } => {
            x > x0 + INSIDE && x < x0 + length - INSIDE && y > y0 + INSIDE && y < y0 + width - INSIDE
        }
        KeepOutShape::Circle { centre, diameter } => math::hypot(x - centre.x, y - centre.y) < 0.5 * diameter - INSIDE,
    }
}
