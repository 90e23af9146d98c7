//! Virtual boards of plans written by hand.

mod by_hand;

use by_hand::{Arrangement, common_practice_kit, plan, trailer_kit};
use holefast::predict::{Ask, Model, one_after_another, predict};

fn ask(boards: u64, checks: bool) -> Ask {
    Ask { boards, seed: 1, checks, lines: Vec::new(), square_limit: Some(0.25) }
}

#[test]
fn show() {
    for (kit, a) in [
        (common_practice_kit(), Arrangement { first_colour: 1, ..Arrangement::usual(7, 14, [8, 6, 10]) }),
        (trailer_kit(), Arrangement::best(7, 14, [8, 6, 10])),
        (trailer_kit(), Arrangement::best(3, 4, [3, 4, 5])),
    ] {
        let p = plan(&kit, a);
        let m = Model::new(&kit, &p).unwrap();
        let t = std::time::Instant::now();
        let mut r = predict(&m, &ask(20_000, true), &one_after_another).unwrap();
        println!("{:?}", t.elapsed());
        r.holes.truncate(3);
        println!("{}", r.to_json());
        let t = std::time::Instant::now();
        for _ in 0..20 {
            std::hint::black_box(m.first_order(&[]).unwrap());
        }
        println!("first order {:?}", t.elapsed() / 20);
    }
}
