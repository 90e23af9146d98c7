//! Cuts with their holes settled: what is refused and remarked, in its words, and what room is told.

use super::*;
use crate::fault::{Fault, FaultKind};
use crate::job::Job;
use crate::top::lay_out;

/// The trailer top of the examples with these cuts at its end.
fn job(cuts: &str) -> Job {
    let text = format!("{}\n{cuts}", include_str!("../../../../examples/trailer-top.toml"));
    let parsed = crate::job::parse(&text);
    parsed.job.unwrap_or_else(|| panic!("{:?}", parsed.faults))
}

fn settled(job: &Job) -> Result<Vec<Settled>, Vec<Fault>> {
    settle(job, &Places::planned(&lay_out(job).unwrap()))
}

const FENCE: &str = "fence = { holes = [\"B2\", \"B11\"], side = \"left\", dogs = 20 }\n";
const RAIL: &str = "rail = { holes = [\"A3\", \"G3\"], side = \"right\", dogs = 20, cut = 180 }\n";

#[test]
fn what_is_refused() {
    let one = |body: &str| {
        let job = job(&format!("[[cut]]\nname = \"x\"\n{body}"));
        let mut faults = settled(&job).unwrap_err();
        assert_eq!(faults.len(), 1, "{faults:?}");
        let fault = faults.remove(0);
        assert!(fault.span.is_some() && fault.hint.is_some() && fault.kind != FaultKind::Remark, "{fault:?}");
        fault.message
    };
    let square = "angle = 90\n";
    for (body, message) in [
        (
            format!("{square}{FENCE}rail = {{ holes = [\"A3\", \"H3\"], side = \"right\" }}\n"),
            "the rail stands on H3, which is no dog hole of this top",
        ),
        (
            format!("{square}{FENCE}rail = {{ holes = [\"G3\", \"A3\"], side = \"right\" }}\n"),
            "the rail's holes run away from the work, which lies at the side of the fence that touches",
        ),
        (
            format!("{square}{FENCE}rail = {{ holes = [\"B2\", \"G2\"], side = \"right\", dogs = 19 }}\n"),
            "the dog in B2 serves fence and rail and is written as 20 mm and as 19 mm",
        ),
        (
            format!("{square}{FENCE}{RAIL}length = 400\nkerf = 2\nstop = {{ hole = \"C7\" }}\n"),
            "the stop on C7 stands 201.993 mm inside the piece of cut \"x\"",
        ),
        (
            format!("{square}{FENCE}{RAIL}length = 400\nkerf = 2\nstop = {{ hole = \"G3\" }}\n"),
            "the stop stands on G3, where a dog of fence or rail stands",
        ),
        (
            format!("{square}{FENCE}{RAIL}length = 400\nkerf = 2\nstop = {{ hole = \"Z3\" }}\n"),
            "the stop stands on Z3, which is no dog hole of this top",
        ),
        (format!("{square}{FENCE}{RAIL}length = 400\n"), "cut \"x\" keeps the piece beyond the kerf, and has no kerf"),
        (
            "angle = 1.3\ntolerance = 0.001\n".to_owned(),
            "no two lines of holes stand at 1.3°: the nearest are 1.2454° and 1.3119°",
        ),
        (
            "angle = 67.5\nwidth = 1200\n".to_owned(),
            "lines of holes stand at 67.5°, and none leaves room for rail, blade and work",
        ),
    ] {
        let told = one(&body);
        assert_eq!(told, message);
    }
    let mut job =
        job(&format!("[[cut]]\nname = \"x\"\nangle = 90\nlength = 300\nkerf = 2\n{FENCE}{RAIL}")
            .replace(", cut = 180", ""));
    job.kit.as_mut().unwrap().rail = None;
    let told = settled(&job).unwrap_err();
    assert_eq!(told[0].message, "cut \"x\" has a length, and nothing says how wide its rail is");
}

#[test]
fn what_is_remarked() {
    let remarks = |body: &str| {
        let job = job(&format!("[[cut]]\nname = \"x\"\n{FENCE}{RAIL}{body}"));
        let one = settled(&job).unwrap().remove(0);
        one.remarks.iter().map(|r| r.message.clone()).collect::<Vec<_>>()
    };
    assert_eq!(remarks("angle = 90\nlength = 400\nkerf = 2\n"), Vec::<String>::new());
    assert_eq!(
        remarks("angle = 89\nlength = 400\nkerf = 2\n"),
        ["cut \"x\" comes out at 90°, 1° from the 89° that is wanted"]
    );
    assert_eq!(
        remarks("angle = 90\nlength = 400\nkerf = 2\nkept = \"under rail\"\n"),
        ["cut \"x\" keeps the piece \"under rail\", and with these sides the fence runs into the one beyond the kerf"]
    );
    assert_eq!(remarks("angle = 90\nlength = 1900\nkerf = 2\n"), ["no hole carries a stop for 1900 mm of cut \"x\""]);
}

/// A square cut whose room can be told with a rule: the fence's face 10 mm above row B, the cut 190 mm
/// right of column 3.
#[test]
fn room_that_can_be_told_with_a_rule() {
    let job = job(&format!("[[cut]]\nname = \"x\"\nangle = 90\nlength = 400\nkerf = 2\n{FENCE}{RAIL}"));
    let one = settled(&job).unwrap().remove(0);
    let layout = lay_out(&job).unwrap();
    let (b2, c3) = (layout.place(1, 1), layout.place(2, 2));
    let room = one.room.unwrap();
    let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
    assert!(near(room.meets.x, c3.x + 190.0) && near(room.meets.y, b2.y + 10.0), "{:?}", room.meets);
    // The rail's far dog stands in row G, 500 mm above row B: the work must pass below it.
    assert!(near(room.capacity, 500.0 - 10.0 - 10.0), "{}", room.capacity);
    // Column 5 lies 10 mm beyond the cut, and no dog in it; the blade's near side is on the line.
    assert!(near(room.from_holes, 10.0 - 2.0 - 10.0), "{}", room.from_holes);
    let nicked: Vec<String> = room.nicked.iter().map(|&i| layout.holes[i].name.clone()).collect();
    assert_eq!(nicked, ["B5", "C5", "D5", "E5", "F5", "G5"]);
    // the nearest dog is the rail's: 180 mm from its face to the cut
    assert!(near(room.from_dogs, 180.0), "{}", room.from_dogs);
    assert_eq!(room.kept, crate::job::Kept::Beyond);
    assert_eq!(room.blocked, []);
    assert_eq!(room.over, Vec::<usize>::new());
    // From the cut, 190 mm right of column 3, column 9 is 410 mm off: its dog stands in the way.
    let stop = one.stop.unwrap();
    assert_eq!(layout.holes[stop.hole].name, "C10");
    assert!(near(stop.spacer, 700.0 - 190.0 - 0.5 * stop.dog - 2.0 - 400.0), "{stop:?}");
}

#[test]
fn blades_that_meet_dogs_and_dogs_under_the_rail_are_told() {
    let blocked = |fence: &str, rail: &str| {
        let job = job(&format!("[[cut]]\nname = \"x\"\nangle = 90\n{fence}{rail}"));
        settled(&job).unwrap().remove(0).room.unwrap().blocked
    };
    // the cut 190 mm right of column 3 runs 10 mm left of column 5
    let in_the_way = "fence = { holes = [\"B5\", \"B11\"], side = \"left\", dogs = 20 }\n";
    assert_eq!(blocked(in_the_way, RAIL), [Blocked::BladeMeetsDog]);
    let under = "fence = { holes = [\"B4\", \"B11\"], side = \"left\", dogs = 20 }\n";
    assert_eq!(blocked(under, RAIL), [Blocked::DogUnderRail]);
    let short = "fence = { holes = [\"B1\", \"B3\"], side = \"left\", dogs = 20 }\n";
    assert_eq!(
        blocked(short, "rail = { holes = [\"A2\", \"G2\"], side = \"right\", dogs = 20 }\n"),
        [Blocked::NothingToLieAgainst, Blocked::DogUnderRail]
    );
    // the rail's near dog in row C, 100 mm above the fence's row: the work reaches 80 mm
    let work = "rail = { holes = [\"C3\", \"G3\"], side = \"right\", dogs = 20 }\nwidth = 85\n";
    assert_eq!(blocked(FENCE, work), [Blocked::TooNarrow]);
    assert_eq!(blocked(FENCE, &work.replace("85", "79")), []);
}
