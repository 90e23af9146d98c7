//! An answer as the page shows it: the worker sets it as markup, so that the page, which comes first over
//! a weak network, has nothing to do but to put it in its place. Every text goes through [`plain`].

use holefast::words::sentence;
use serde::{Deserialize, Serialize};

use super::words;
use super::{CutAnswer, Drawing, FIELDS, Found, Own, Parts, Way, Wrong};

/// An answer in markup; what does not belong to it is empty.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Told {
    /// Rounds of a breakdown that are done, and of how many: nought of nought but for that.
    pub rounds: [u64; 2],
    /// The same of cuts that are set up on the top.
    pub set_up: [u64; 2],
    /// The list of parts, or why it cannot be cut.
    pub parts: String,
    /// What the angle means.
    pub means: String,
    /// The directions that make it.
    pub directions: String,
    /// Both tables, or why there is no arrangement.
    pub tables: String,
    /// Of each arrangement its drawing, its card, and the job's text with it kept.
    pub ways: Vec<Vec<String>>,
    /// The same of each cut of the job, with the fields that ask for such a one, a line each.
    pub own: Vec<Vec<String>>,
    /// What is wrong with each of the fields.
    pub wrong: Vec<String>,
    /// Fields for what the kit lacks.
    pub lacking: String,
    /// Why nothing could be worked out at all.
    pub refused: String,
}

impl Told {
    /// Sets an answer.
    pub fn of(answer: &CutAnswer) -> Told {
        match answer {
            CutAnswer::Cuts { found, own, lacking: [rail, fence] } => Told {
                lacking: format!(
                    "{}{}",
                    tool(*rail, "rail", [words::NO_RAIL, words::NO_RAIL_MORE], &words::RAIL),
                    tool(*fence, "fence", [words::NO_FENCE, words::NO_FENCE_MORE], &words::FENCE)
                ),
                means: found.directions.first().map(|line| plain(&sentence(line))).unwrap_or_default(),
                directions: items(found.directions.iter().skip(1).map(|line| line.trim())),
                tables: format!("{}{}{}", unreached(found), ways(&found.ways), own_table(own)),
                ways: found
                    .ways
                    .iter()
                    .map(|way| vec![drawing(&way.drawing, "cut"), card(way, KEEP_IT), way.text.clone()])
                    .collect(),
                own: own.iter().map(own_card).collect(),
                wrong: (0..FIELDS.len()).map(|field| wrong_at(found, field)).collect(),
                ..Told::default()
            },
            CutAnswer::Rounds { done, of } => Told { rounds: [*done, *of], ..Told::default() },
            CutAnswer::SetUp { done, of } => Told { set_up: [*done, *of], ..Told::default() },
            CutAnswer::Parts(parts) => Told { parts: of_parts(parts), ..Told::default() },
            CutAnswer::Refused(wrong) => Told { refused: notes(wrong), ..Told::default() },
        }
    }
}

/// A tool that the kit has not: what follows, its measures, a target that writes them.
fn tool(lacks: bool, key: &str, [head, more]: [&str; 2], labels: &[&str]) -> String {
    if !lacks {
        return String::new();
    }
    let field = |(n, label): (usize, &&str)| {
        format!(
            "<label for=\"{key}-{n}\">{label}<span class=\"in\"><input id=\"{key}-{n}\" type=\"text\" inputmode=\"decimal\" \
             autocomplete=\"off\"></span></label>"
        )
    };
    let fields: String = labels.iter().enumerate().map(field).collect();
    format!(
        "<fieldset id=\"no-{key}\"><legend>{head}</legend><p>{more}</p><div class=\"fields\">{fields}</div>\
         <p class=\"row\"><button class=\"btn\" id=\"write-{key}\" data-tool=\"{key}\">{}</button></p></fieldset>",
        words::WRITE
    )
}

/// A text without anything that markup would take for its own.
fn plain(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;").replace('\'', "&#39;")
}

fn items<'a>(lines: impl Iterator<Item = &'a str>) -> String {
    lines.map(|line| format!("<li>{}</li>", plain(line))).collect()
}

fn hint(wrong: &Wrong) -> String {
    wrong.hint.as_deref().map(|hint| plain(&sentence(hint))).unwrap_or_default()
}

fn said(wrong: &Wrong) -> String {
    let line = wrong.line.map_or_else(String::new, words::at_line);
    format!("{line}{}", plain(&sentence(&wrong.message)))
}

fn notes(wrong: &[Wrong]) -> String {
    wrong.iter().map(|w| format!("<div class=\"note\"><b>{}</b>{}</div>", said(w), hint(w))).collect()
}

/// What is wrong with a field; of the angle's lines it is told under the drawing.
fn wrong_at(found: &Found, field: usize) -> String {
    let unread = field != 0 || found.directions.is_empty();
    let wrong = found.wrong.iter().find(|w| unread && w.field == Some(field));
    wrong.map_or_else(String::new, |w| format!("<b>{}</b>{}", said(w), hint(w)))
}

/// An angle that no two lines make: the nearest on both sides, and how to take one.
fn unreached(found: &Found) -> String {
    if found.directions.is_empty() || !found.ways.is_empty() {
        return String::new();
    }
    let take = |(angle, tolerance): &(String, String)| {
        let label = plain(&words::take_nearest(angle, tolerance));
        format!("<button class=\"btn\" data-tolerance=\"{}\">{label}</button>", plain(tolerance))
    };
    let buttons: String = found.nearest.iter().map(take).collect();
    format!("<div id=\"unreached\" role=\"alert\">{}<p class=\"row\">{buttons}</p></div>", notes(&found.wrong))
}

fn table(id: &str, head: &str, rows: &str) -> String {
    if rows.is_empty() {
        return String::new();
    }
    let heads: String = words::HEADS.iter().map(|head| format!("<th scope=\"col\">{head}</th>")).collect();
    format!(
        "<h2 id=\"{id}-head\">{head}</h2><div class=\"wide\"><table id=\"{id}\" class=\"ways\" aria-labelledby=\"{id}-head\">\
         <thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>"
    )
}

/// A line with a target that chooses it.
fn row(choice: &str, first: &str, rest: &str) -> String {
    format!(
        "<tr><th scope=\"row\"><button class=\"way\" data-choice=\"{choice}\" aria-pressed=\"false\">{first}</button></th>{rest}</tr>"
    )
}

fn cells(way: &Way) -> String {
    way.row[1..].iter().map(|text| format!("<td>{}</td>", plain(text))).collect()
}

fn ways(ways: &[Way]) -> String {
    let one = |(n, way): (usize, &Way)| row(&format!("way{n}"), &plain(&way.row[0]), &cells(way));
    table("ways", words::WAYS, &ways.iter().enumerate().map(one).collect::<String>())
}

fn own_table(own: &[Own]) -> String {
    let one = |(n, own): (usize, &Own)| {
        let name = format!("<b>{}</b>", plain(&own.name));
        match &own.way {
            Ok(way) => row(&format!("own{n}"), &format!("{name}<small>{}</small>", plain(&way.row[0])), &cells(way)),
            Err(wrong) => {
                let told = wrong.first().map(said).unwrap_or_default();
                row(&format!("own{n}"), &name, &format!("<td class=\"bad\" colspan=\"4\">{told}</td>"))
            }
        }
    };
    table("own", words::OWN, &own.iter().enumerate().map(one).collect::<String>())
}

/// A drawing with its signs; its clip gets a name of its own, so that two do not cut each other off.
fn drawing(drawing: &Drawing, id: &str) -> String {
    let named = |svg: &str, name: &str| {
        svg.replace("id=\"part\"", &format!("id=\"part-{name}\"")).replace("url(#part)", &format!("url(#part-{name})"))
    };
    let sign = |(n, (sign, word)): (usize, &(String, String))| {
        let sign = named(sign, &format!("{id}-key{n}"));
        format!("<span><i aria-hidden=\"true\">{sign}</i>{}</span>", plain(word))
    };
    let key: String = drawing.key.iter().enumerate().map(sign).collect();
    format!(
        "<div id=\"{id}-drawing\" class=\"drawing\" role=\"img\" aria-label=\"{}\">{}</div><p class=\"key\">{key}</p>",
        plain(&drawing.about),
        named(&drawing.svg, id)
    )
}

/// Under an arrangement that was found.
const KEEP_IT: &str = "keep";

/// The lines that are told apart from the others.
const ANGLE: &str = "Angle";
const PROVE: &str = "Prove";

/// An arrangement in words: how far out it may come, where everything stands, what can hurt.
fn card(way: &Way, below: &str) -> String {
    let line = |what: &str| way.lines.iter().find(|(name, _)| name == what).map_or("", |(_, text)| text);
    let out = line(ANGLE);
    let (first, rest) = out.split_at(out.find("; ").map_or(out.len(), |at| at + 1));
    let others = way.lines.iter().filter(|(name, _)| name != ANGLE && name != PROVE);
    let others: String =
        others.map(|(name, text)| format!("<div><dt>{}</dt><dd>{}</dd></div>", plain(name), plain(text))).collect();
    let prove = match line(PROVE) {
        "" => String::new(),
        text => format!(
            "<div class=\"note quiet\" id=\"cut-prove\"><b>{}</b><span>{}</span></div>",
            words::PROVE,
            plain(text)
        ),
    };
    let below = match below {
        KEEP_IT => format!("<p class=\"row\"><button id=\"keep-cut\" class=\"btn\">{}</button></p>", words::KEEP),
        below => below.to_owned(),
    };
    format!(
        "<h2 class=\"first\" id=\"cut-title\">{}<small id=\"cut-aside\">{}</small></h2>\
         <p class=\"one\" id=\"cut-out\"><b>{}</b><span>{}</span></p>{}{prove}<dl class=\"lines\" id=\"cut-lines\">{others}</dl>\
         <div class=\"note\" id=\"cut-mind\"><b>{}</b><ul>{}</ul></div>{below}",
        plain(&way.title),
        plain(&way.aside.join(", ")),
        plain(first),
        plain(rest),
        notes(&way.remarks),
        words::MIND,
        items(way.cautions.iter().map(String::as_str))
    )
}

/// A cut of the job: its drawing and its card, with what is done with it.
fn own_card(own: &Own) -> Vec<String> {
    let below = format!(
        "<label class=\"name\" for=\"cut-name\">{}<span class=\"in\"><input id=\"cut-name\" type=\"text\" autocomplete=\"off\" \
         value=\"{}\"></span></label><p class=\"row\"><button id=\"other-holes\" class=\"btn\">{}</button>\
         <button id=\"take-out\" class=\"btn\">{}</button></p>",
        words::NAME,
        plain(&own.name),
        words::OTHERS,
        words::TAKE_OUT
    );
    match &own.way {
        Ok(way) => vec![drawing(&way.drawing, "cut"), card(way, &below), own.typed.values.join("\n")],
        Err(wrong) => vec![String::new(), format!("{}{below}", notes(wrong)), own.typed.values.join("\n")],
    }
}

/// The list of parts. Sheets and cuts may be many; what they come to, and what to take care of, stands
/// outside.
fn of_parts(parts: &Parts) -> String {
    let is_cut = |line: &&String| line.starts_with(' ') || line.starts_with("sheet ");
    let (cuts, rest): (Vec<&String>, Vec<&String>) = parts.lines.iter().partition(is_cut);
    let lines = |all: Vec<&String>| items(all.into_iter().map(String::as_str));
    format!(
        "{}<ul id=\"parts-said\" class=\"gives\">{}</ul>{}<details id=\"parts-cuts\"><summary>{}</summary>\
         <ul class=\"gives steps-of-parts\">{}</ul></details>{}",
        notes(&parts.remarks),
        lines(rest),
        drawing(&parts.drawing, "parts"),
        words::PARTS_CUTS,
        lines(cuts),
        on_top(&parts.top)
    )
}

/// The list on this top: how many of its cuts it makes stands outside, where everything stands for each
/// of them inside.
fn on_top(top: &Result<Vec<String>, Vec<Wrong>>) -> String {
    let (first, more) = match top {
        Err(wrong) => return notes(wrong),
        Ok(lines) => match lines.split_first() {
            Some(split) => split,
            None => return String::new(),
        },
    };
    let first = format!("<ul id=\"top-said\" class=\"gives\">{}</ul>", items([first.as_str()].into_iter()));
    if more.is_empty() {
        return first;
    }
    format!(
        "{first}<details id=\"parts-top\"><summary>{}</summary><ul class=\"gives steps-of-parts\">{}</ul></details>",
        words::PARTS_ON_TOP,
        set_out(more)
    )
}

/// What a terminal sets out by spaces, for a page: settings as headings, what a line of theirs is about
/// in bold, a cut and how it is made as one.
fn set_out(lines: &[String]) -> String {
    let mut out = String::new();
    let mut lines = lines.iter().map(String::as_str).peekable();
    while let Some(line) = lines.next() {
        let text = line.trim_start();
        let deep = line.len() - text.len();
        let is_heading = deep == 0 && (text.starts_with("setting ") || text.ends_with(':'));
        let is_cut = deep >= HOW || text.starts_with(|c: char| c.is_ascii_digit());
        let item = match text.split_once("  ") {
            _ if is_heading => format!("<b>{}</b>", plain(text)),
            _ if is_cut => match lines.next_if(|how| how.starts_with(&" ".repeat(HOW))) {
                Some(how) => format!("{}<small>{}</small>", plain(text), plain(how.trim_start())),
                None => plain(text),
            },
            Some((about, said)) if deep > 0 => format!("<b>{}</b> {}", plain(about), plain(said.trim_start())),
            _ => plain(text),
        };
        out.push_str(&format!("<li>{item}</li>"));
    }
    out
}

/// So many spaces stand before how a cut is made.
const HOW: usize = 6;
