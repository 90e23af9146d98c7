//! The place Cut against the command line's own words, and what it keeps against what it showed.

use std::cell::RefCell;

use holefast::cut::{Search, USUAL_TOLERANCE, cuts_to_json, settle, wanted_angle};
use holefast::words::cutting::{angle_lines, cut_card};

use super::*;

const TOP: &str = include_str!("../../../../../examples/trailer-top.toml");
const ROOM: [f64; 2] = [200.0, 130.0];

fn typed(pairs: &[(&str, &str)]) -> Typed {
    let mut typed = Typed::default();
    for (key, value) in pairs {
        let at = FIELDS.iter().position(|field| field == key).unwrap();
        typed.values[at] = (*value).to_owned();
    }
    typed
}

fn all(ask: &CutAsk) -> Vec<CutAnswer> {
    let heard = RefCell::new(Vec::new());
    answer_cut(ask.clone(), &|answer| heard.borrow_mut().push(answer.clone()));
    heard.into_inner()
}

fn cuts(text: &str, pairs: &[(&str, &str)]) -> (Found, Vec<Own>) {
    match all(&CutAsk::Cuts { text: text.to_owned(), typed: Box::new(typed(pairs)), room: ROOM }).pop() {
        Some(CutAnswer::Cuts { found, own, .. }) => (found, own),
        other => panic!("{other:?}"),
    }
}

fn without_kit() -> String {
    let from = TOP.find("[kit]").unwrap();
    let to = TOP.find("[accuracy]").unwrap();
    format!("{}{}", &TOP[..from], &TOP[to..])
}

#[test]
fn an_angle_is_answered_as_the_command_line_prints_it() {
    for angle in ["90", "67.5", "1:12", "octagon", "85 mm over 150 mm"] {
        let (found, _) = cuts(TOP, &[("angle", angle)]);
        assert_eq!(found.wrong, []);
        // As `holefast angle` puts it together.
        let ready = ready(TOP).unwrap();
        let wanted = wanted_angle(angle, ready.job.units).unwrap();
        let ask = Search { wanted, tolerance: USUAL_TOLERANCE, best: 5, width: None, kerf: None, kept: None };
        let result = holefast::cut::search(&ready.job, &ready.places, &holefast::cut::Dogs::of(&ready.job), &ask);
        let printed = angle_lines(&ready.job, &ready.places, &ask, &result);
        assert_eq!(found.ways.len(), 5);
        for line in &found.directions {
            assert!(printed.contains(line), "{line}: {printed:#?}");
        }
        for (way, arrangement) in found.ways.iter().zip(&result.arrangements) {
            let name = |hole: usize| &ready.places.holes()[hole].name;
            let dogs = arrangement.pair.fence.holes.map(name);
            assert!(way.row[0].starts_with(&format!("{}\u{2013}{}, rail ", dogs[0], dogs[1])), "{:?}", way.row);
            let out = &way.lines.iter().find(|(what, _)| what == "Angle").unwrap().1;
            assert!(printed.iter().any(|line| line.contains(out.as_str())), "{out}: {printed:#?}");
            assert!(out.starts_with(&way.row[1]) && way.row[1] != *out, "{:?}", way.row);
        }
    }
}

#[test]
fn what_is_kept_is_what_was_shown_to_the_last_digit() {
    let inch = holefast::job::in_units(TOP, holefast::job::Units::Inch).unwrap();
    let measured =
        TOP.replacen("diameter = \"20 g6\"", "diameter = \"20 g6\"\nheads = [20.02, 20.02, 19.98, 19.98, 19.5]", 1);
    let octagon = [
        ("angle", "octagon"),
        ("length", "430"),
        ("width", "85"),
        ("kerf", "2.2"),
        ("at", "far"),
        ("quantity", "8"),
        ("end", "67.5"),
    ];
    let inches = [("angle", "1 in 12"), ("length", "17"), ("kerf", "0.1")];
    let bare = [("angle", "22.5"), ("length", "300"), ("rail.cut", "180")];
    let cases: [(&str, &[(&str, &str)]); 5] = [
        (TOP, &octagon),
        (TOP, &[("angle", "45,5")]),
        (&inch, &inches),
        (&measured, &octagon),
        (&without_kit(), &bare),
    ];
    for (text, typed) in cases {
        let (found, own) = cuts(text, typed);
        assert_eq!((found.wrong.as_slice(), own.len()), ([].as_slice(), 0), "{typed:?}");
        assert!(!found.ways.is_empty());
        for way in &found.ways {
            let kept = ready(&way.text).unwrap();
            let settled = settle(&kept.job, &kept.places).unwrap();
            let card = cut_card(&kept.job, &kept.places, &settled[0]);
            assert!(!settled[0].looked_for);
            let lines: Vec<(String, String)> = card.lines.iter().map(|(a, b)| ((*a).to_owned(), b.clone())).collect();
            assert_eq!((&way.title, &way.lines, &way.cautions), (&card.title, &lines, &card.cautions));
            let (again, own) = cuts(&way.text, typed);
            let Ok(mine) = &own[0].way else { panic!("{own:?}") };
            assert_eq!((&mine.row, &mine.lines, &mine.drawing), (&way.row, &way.lines, &way.drawing));
            assert_ne!(again.ways[0].title, way.title, "a second of the kind has a name of its own");
        }
    }
}

#[test]
fn with_a_length_the_first_is_the_one_that_the_command_line_would_take() {
    let (found, _) = cuts(TOP, &[("angle", "60"), ("length", "500"), ("width", "120")]);
    let job = format!("{TOP}\n[[cut]]\nname = \"it\"\nangle = 60\nlength = 500\nwidth = 120\n");
    let ready = ready(&job).unwrap();
    let settled = settle(&ready.job, &ready.places).unwrap();
    let data = cuts_to_json(&ready.job, &ready.places, &settled, None::<&()>);
    let mine = super::super::work::read(&found.ways[0].text).unwrap();
    let mine = settle(&mine, &ready.places).unwrap();
    assert_eq!((mine[0].pair, mine[0].stop), (settled[0].pair, settled[0].stop), "{data}");
    assert!(mine[0].stop.is_some());
}

#[test]
fn what_cannot_be_read_is_told_beside_its_field() {
    let cases = [
        ("angle", "steep", "\"steep\" is no angle"),
        ("angle", "180", "180° is no angle of a cut"),
        ("length", "-5", "cut.length"),
        ("length", "wide", "cut.length"),
        ("width", "1e999", "cut.width"),
        ("kerf", "0", "cut.kerf"),
        ("quantity", "1.5", "cut.quantity"),
        ("tolerance", "20", "cut.tolerance"),
        ("end", "0", "cut.end"),
        ("at", "far", "has no length"),
        ("kept", "above", "cut.kept"),
        ("rail.cut", "-3", "no distance"),
    ];
    for (field, value, said) in cases {
        let (found, _) = cuts(TOP, &[("angle", "90"), (field, value)]);
        let index = FIELDS.iter().position(|f| *f == field);
        assert_eq!(found.wrong.len(), 1, "{field} {value}");
        assert_eq!(found.wrong[0].field, index, "{:?}", found.wrong);
        assert!(found.wrong[0].message.contains(said), "{:?}", found.wrong);
        assert!(found.ways.is_empty());
    }
}

#[test]
fn an_angle_out_of_reach_names_the_nearest_and_the_tolerance_that_takes_one() {
    let (found, _) = cuts(TOP, &[("angle", "0.1")]);
    assert!(found.ways.is_empty());
    let said = &found.wrong[0].message;
    for (angle, _) in &found.nearest {
        assert!(said.contains(angle.as_str()), "{said}: {:?}", found.nearest);
    }
    assert!(!found.nearest.is_empty());
    for (_, tolerance) in &found.nearest {
        let (wider, _) = cuts(TOP, &[("angle", "0.1"), ("tolerance", tolerance)]);
        assert!(wider.nearest.is_empty(), "{tolerance}");
    }
}

#[test]
fn without_a_rail_a_length_asks_for_it_and_without_a_kit_nothing_is_foretold() {
    let bare = without_kit();
    let (found, _) = cuts(&bare, &[("angle", "90"), ("length", "300")]);
    assert_eq!(found.wrong[0].field, FIELDS.iter().position(|f| *f == "rail.cut"), "{:?}", found.wrong);
    let (found, _) = cuts(&bare, &[("angle", "90")]);
    let holes = found.ways[0].lines.iter().find(|(what, _)| what == "Holes").map(|(_, text)| text.as_str());
    assert!(holes.is_some_and(|text| text.contains("without a kit")), "{holes:?}");
    assert_eq!(found.ways[0].row[4], "\u{2013}");
}

#[test]
fn a_cut_of_the_job_that_cannot_be_made_is_told_by_its_line_and_the_others_stand() {
    let job = format!(
        "{TOP}\n[[cut]]\nname = \"good\"\nangle = 90\n\n[[cut]]\nname = \"odd\"\nangle = 90\n\
         fence = {{ holes = [\"A1\", \"Z9\"], side = \"left\" }}\nrail = {{ holes = [\"A2\", \"G2\"], side = \"left\" }}\n"
    );
    let (_, own) = cuts(&job, &[("angle", "90")]);
    assert!(own[0].way.is_ok());
    let Err(wrong) = &own[1].way else { panic!("{own:?}") };
    assert_eq!(wrong[0].line, job.lines().position(|line| line.starts_with("fence")).map(|n| n + 1), "{wrong:?}");
}

#[test]
fn a_list_of_parts_is_broken_down_as_the_command_line_does_and_tells_how_far_it_is() {
    let job = format!(
        "{TOP}\n[[part]]\nname = \"side\"\nlength = 720\nwidth = 560\nquantity = 4\n\n[[stock]]\nname = \"sheet\"\n\
         length = 2440\nwidth = 1220\nquantity = 2\nkerf = 2.2\n"
    );
    let answers = all(&CutAsk::Parts { text: job.clone(), room: ROOM });
    let parsed = read(&job).unwrap();
    let effort = Effort { rounds: parts::usual_rounds(&parsed), seed: SEED };
    let list = parts::break_down(&parsed, effort, &mut |_| true).unwrap();
    let Some(CutAnswer::Parts(found)) = answers.last() else { panic!("{answers:?}") };
    assert_eq!(found.lines, core::parts::lines(&parsed, &list));
    // Its cuts on this top, as `holefast cut` prints them, after the rounds.
    let ready = ready(&job).unwrap();
    let top = parts::on_top::on_top(&ready.job, &ready.places, &list, &mut |_| true).unwrap();
    let printed = core::on_top::lines(&ready.job, &ready.places, &list, &top);
    assert_eq!(found.top.as_ref(), Ok(&printed));
    let shown = Told::of(&CutAnswer::Parts(found.clone())).parts;
    assert!(shown.contains(&format!("<ul id=\"top-said\" class=\"gives\"><li>{}</li></ul>", printed[0])), "{shown}");
    assert!(printed[0].contains(" on this top, with "), "{printed:?}");
    // Nothing of it is lost on the page, whichever way it is set out there.
    let inside = &shown[shown.find("<details id=\"parts-top\">").unwrap()..];
    let bare = |text: &str| text.split_whitespace().collect::<String>();
    let text: String = inside.split('<').filter_map(|tag| tag.split_once('>')).map(|(_, text)| text).collect();
    let escaped = |text: &str| text.replace('&', "&amp;").replace('\'', "&#39;");
    let wanted = printed[1..].iter().map(|line| bare(line)).collect::<String>();
    let text = bare(&text);
    assert!(text.ends_with(&wanted) || text.ends_with(&escaped(&wanted)), "{text}\n{wanted}");
    assert!(inside.contains("<li><b>setting A: ") && inside.contains("<li><b>Fence</b> dogs in "), "{inside}");
    assert!(inside.contains("<li>1* along 1, 720 mm off: 1a; left: offcut<small>not here: "), "{inside}");
    let first_set_up = answers.iter().position(|a| matches!(a, CutAnswer::SetUp { .. })).unwrap();
    assert!(answers[first_set_up..answers.len() - 1].iter().all(|a| matches!(a, CutAnswer::SetUp { .. })));
    assert!(matches!(answers[answers.len() - 2], CutAnswer::SetUp { done, of } if done == of && done > 0));
    let rounds: Vec<u64> = answers
        .iter()
        .filter_map(|a| if let CutAnswer::Rounds { done, .. } = a { Some(*done) } else { None })
        .collect();
    assert!(!rounds.is_empty() && rounds.is_sorted(), "{rounds:?}");
    let small = job.replace("length = 2440\nwidth = 1220", "length = 500\nwidth = 400");
    match all(&CutAsk::Parts { text: small.clone(), room: ROOM }).pop() {
        Some(CutAnswer::Refused(wrong)) => {
            assert!(wrong[0].message.contains("too large") && wrong[0].hint.is_some() && wrong[0].line.is_some());
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn markup_in_a_name_stays_a_text() {
    let job = format!("{TOP}\n[[cut]]\nname = 'a <b onclick=\"x\">\u{26}amp; end'\nangle = 90\n");
    let (found, own) = cuts(&job, &[("angle", "<script>")]);
    let told = Told::of(&CutAnswer::Cuts { found, own, lacking: [true, true] });
    for text in told.own.iter().flatten().chain(&told.wrong).chain([&told.tables]) {
        assert!(!text.contains("<b onclick") && !text.contains("<script"), "{text}");
    }
    assert!(told.tables.contains("a &lt;b onclick=&quot;x&quot;&gt;&amp;amp; end"), "{}", told.tables);
    assert!(told.wrong[0].contains("&lt;script&gt;"), "{:?}", told.wrong);
}
