//! The places of the work that the page has: their names, their addresses, their signs.

/// The part of the address of the bench, which belongs to Bore and fills the screen.
pub const AT_THE_BENCH: &str = "at-the-bench";

/// True if a fragment is that of the bench.
pub fn is_bench(fragment: &str) -> bool {
    fragment.trim_start_matches('#') == AT_THE_BENCH
}

/// A place of the page. Those that do not work yet are not there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// The pattern on the sheet.
    LayOut,
    /// How square it comes out, and the set-ups.
    Bore,
    /// How square it is.
    Prove,
    /// Fence, rail and stop for an angle and a length.
    Cut,
    /// What leaves this device.
    HandOn,
}

impl Place {
    /// In the order of the work.
    pub const ALL: [Place; 5] = [Place::LayOut, Place::Bore, Place::Prove, Place::Cut, Place::HandOn];

    /// What a person reads.
    pub fn name(self) -> &'static str {
        match self {
            Place::LayOut => "Lay out",
            Place::Bore => "Bore",
            Place::Prove => "Prove",
            Place::Cut => "Cut",
            Place::HandOn => "Hand on",
        }
    }

    /// Its part of the page's address, after the `#`.
    pub fn fragment(self) -> &'static str {
        match self {
            Place::LayOut => "lay-out",
            Place::Bore => "bore",
            Place::Prove => "prove",
            Place::Cut => "cut",
            Place::HandOn => "hand-on",
        }
    }

    /// The place of a fragment; the first one for any that is none.
    pub fn of_fragment(fragment: &str) -> Place {
        let fragment = fragment.trim_start_matches('#');
        if is_bench(fragment) {
            return Place::Bore;
        }
        Place::ALL.into_iter().find(|place| place.fragment() == fragment).unwrap_or(Place::LayOut)
    }

    /// Its sign as the inside of an SVG of 32 by 26: a hole wanted, a hole that is bored now, a deviation
    /// in its ellipse, a cut off a fence, the top with its reference corner.
    pub fn sign(self) -> &'static str {
        match self {
            Place::LayOut => r#"<circle cx="16" cy="13" r="7" fill="none" stroke="currentColor" stroke-width="1.6"/>"#,
            Place::Bore => {
                r#"<circle cx="16" cy="13" r="9" fill="none" stroke="currentColor" stroke-width="2.6"/><circle cx="16" cy="13" r="3" fill="currentColor"/>"#
            }
            Place::Prove => {
                r#"<ellipse cx="19" cy="10" rx="9" ry="5.5" transform="rotate(-24 19 10)" fill="none" stroke="currentColor" stroke-width="1.6"/><path d="M4 23L19 10M13.6 12.4L19 10L16.6 15.8" fill="none" stroke="currentColor" stroke-width="2"/>"#
            }
            Place::Cut => {
                r#"<path d="M3 22H29" fill="none" stroke="currentColor" stroke-width="4"/><path d="M13 18L25 3" fill="none" stroke="currentColor" stroke-width="2.4" stroke-dasharray="4.5 2.6"/>"#
            }
            Place::HandOn => {
                r#"<path d="M4 4H28V22H4Z" fill="none" stroke="currentColor" stroke-width="1.6"/><path d="M4 22V14L12 22Z" fill="currentColor"/>"#
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Place;

    #[test]
    fn every_place_is_found_by_its_address_and_a_strange_one_opens_the_first() {
        for place in Place::ALL {
            assert_eq!(Place::of_fragment(&format!("#{}", place.fragment())), place);
        }
        assert_eq!(Place::of_fragment("#elsewhere"), Place::LayOut);
        assert_eq!(Place::of_fragment(""), Place::LayOut);
        assert_eq!(Place::of_fragment("#at-the-bench"), Place::Bore);
    }
}
