//! The places of the work that the page has: their names, their addresses, their signs.

/// A place of the page. Those that do not work yet are not there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// The pattern on the sheet.
    LayOut,
    /// What leaves this device.
    HandOn,
}

impl Place {
    /// In the order of the work.
    pub const ALL: [Place; 2] = [Place::LayOut, Place::HandOn];

    /// What a person reads.
    pub fn name(self) -> &'static str {
        match self {
            Place::LayOut => "Lay out",
            Place::HandOn => "Hand on",
        }
    }

    /// Its part of the page's address, after the `#`.
    pub fn fragment(self) -> &'static str {
        match self {
            Place::LayOut => "lay-out",
            Place::HandOn => "hand-on",
        }
    }

    /// The place of a fragment; the first one for any that is none.
    pub fn of_fragment(fragment: &str) -> Place {
        let fragment = fragment.trim_start_matches('#');
        Place::ALL.into_iter().find(|place| place.fragment() == fragment).unwrap_or(Place::LayOut)
    }

    /// Its sign as the inside of an SVG of 32 by 26: a hole wanted, the top with its reference corner.
    pub fn sign(self) -> &'static str {
        match self {
            Place::LayOut => r#"<circle cx="16" cy="13" r="7" fill="none" stroke="currentColor" stroke-width="1.6"/>"#,
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
    }
}
