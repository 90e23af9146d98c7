//! The arrangements for one angle, asked for as seldom as the cuts allow. A cut that is too long stays
//! so if it is longer. Of several cuts none has a stop if one had none that were as short as the
//! shortest of them, on work as narrow as the narrowest for the rail, as wide as the widest for the
//! stop. And the best arrangements of a narrow cut are those of a wider one, if that has room on all of
//! them.

use super::WhyNot;
use super::asks::Ask;
use crate::cut::{
    Arrangement, Dogs, Found, MOST_ARRANGEMENTS, MOST_SPACER, Piece, Places, Search, USUAL_TOLERANCE, is_free,
    kit_lengths, search_for,
};
use crate::job::Job;
use crate::math;
use crate::top::outline::extent;

/// The longest cut at an angle is told to this, mm.
pub(super) const LONGEST_TO: f64 = 5.0;

/// Lengths looked at one after the other overlap by this much, mm, so that rounding leaves no gap
/// between what their spacers reach.
const OVERLAP: f64 = 1.0;

/// The watch said no.
pub(super) struct Stopped;

/// The arrangements for one angle.
pub(super) struct Lines<'a> {
    job: &'a Job,
    places: &'a Places,
    dogs: &'a Dogs,
    angle: f64,
    /// Told how many questions are open.
    told: &'a mut dyn FnMut(usize) -> bool,
    /// The nearest angles on both sides, once it is known that no lines stand at this one.
    no_angle: Option<[Option<f64>; 2]>,
    /// The longest cut, once one was too long.
    longest: Option<Option<f64>>,
    /// The best arrangements for cuts without a stop, with kerf and width.
    wide: Vec<(Ask, Vec<Arrangement>)>,
    /// So many widths further down they are looked for next, in the hope that they serve those between.
    further: usize,
}

impl<'a> Lines<'a> {
    pub(super) fn new(
        job: &'a Job,
        places: &'a Places,
        dogs: &'a Dogs,
        angle: f64,
        told: &'a mut dyn FnMut(usize) -> bool,
    ) -> Lines<'a> {
        Lines { job, places, dogs, angle, told, no_angle: None, longest: None, wide: Vec::new(), further: 0 }
    }

    pub(super) fn angle(&self) -> f64 {
        self.angle
    }

    /// The best arrangements for a cut with its stop.
    pub(super) fn stopped(&mut self, ask: &Ask, open: usize) -> Result<Vec<Arrangement>, Stopped> {
        Ok(self.look(ask, Some(ask.width()), ask.piece().as_ref(), open)?.arrangements)
    }

    fn look(&mut self, ask: &Ask, width: Option<f64>, piece: Option<&Piece>, open: usize) -> Result<Found, Stopped> {
        if !(self.told)(open) {
            return Err(Stopped);
        }
        let (tolerance, kerf) = (USUAL_TOLERANCE, Some(ask.kerf()));
        let look = Search { wanted: self.angle, tolerance, best: MOST_ARRANGEMENTS, width, kerf, kept: None };
        let found = search_for(self.job, self.places, self.dogs, &look, piece);
        // Lines through holes beside the grid may stand at it where the grid's own do not.
        if piece.is_none() && found.pairs.is_empty() && found.arrangements.is_empty() {
            self.no_angle = Some([&found.nearest.below, &found.nearest.above].map(|p| p.map(|p| p.angle)));
        }
        Ok(found)
    }

    /// True for a cut that is known to be too long.
    pub(super) fn is_too_long(&self, ask: &Ask) -> bool {
        self.longest.flatten().is_some_and(|most| ask.width() > most + LONGEST_TO)
    }

    /// True for a piece that is longer than any two places of the top are apart: nothing is at its end.
    pub(super) fn is_out_of_reach(&self, ask: &Ask) -> bool {
        ask.piece().is_some_and(|piece| piece.length > self.reach(&piece))
    }

    /// No piece that lies on the top as this one does ends at a hole if it is longer, mm.
    fn reach(&self, piece: &Piece) -> f64 {
        let across = extent(&self.job.top.outline).map_or(f64::INFINITY, |e| math::hypot(e.width(), e.height()));
        let slanted = if piece.end == std::f64::consts::FRAC_PI_2 { 0.0 } else { 1.0 / math::tan(piece.end).abs() };
        across + piece.width * slanted + OVERLAP
    }

    /// True if of these cuts, alike but for length and width and the narrowest first, none has an
    /// arrangement with a stop.
    pub(super) fn none_has_a_stop(&mut self, alike: &[Ask], open: usize) -> Result<bool, Stopped> {
        let (Some(narrowest), Some(widest)) = (alike.first(), alike.last()) else { return Ok(true) };
        let lengths = || alike.iter().filter_map(|ask| ask.piece()).map(|piece| piece.length);
        let (shortest, longest) = (lengths().fold(f64::INFINITY, f64::min), lengths().fold(0.0, f64::max));
        let Some(mut piece) = widest.piece() else { return Ok(false) };
        let reach = self.reach(&piece);
        piece.length = shortest;
        while piece.length <= reach {
            let found = self.look(narrowest, Some(narrowest.width()), Some(&piece), open)?;
            if !found.arrangements.is_empty() {
                return Ok(false);
            }
            // its spacer reached so far
            if piece.length >= longest {
                break;
            }
            piece.length += MOST_SPACER - OVERLAP;
        }
        Ok(true)
    }

    /// Why a cut that has no arrangement has none; `open` are all that are open, the shortest cut first.
    pub(super) fn why_not(&mut self, ask: &Ask, open: &[(Ask, usize)]) -> Result<WhyNot, Stopped> {
        if self.is_too_long(ask) {
            return Ok(WhyNot::TooLong(self.longest.flatten()));
        }
        let wide = if self.no_angle.is_none() { self.wide(ask, open)? } else { 0 };
        if let Some(nearest) = self.no_angle {
            return Ok(WhyNot::NoAngle(nearest));
        }
        let wide = &self.wide[wide].1;
        if !wide.is_empty() {
            let (job, places, dogs) = (self.job, self.places, self.dogs);
            let piece = ask.piece();
            let ranges = wide.iter().filter_map(|a| kit_lengths(job, places, dogs, &a.pair, piece.as_ref()?));
            return Ok(WhyNot::NoStop(ranges.reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1])])));
        }
        let most = match self.longest {
            Some(most) => most,
            None => self.longest_cut(ask, open.len())?,
        };
        self.longest = Some(most);
        Ok(WhyNot::TooLong(most))
    }

    /// Where the best arrangements for a cut without its stop stand among those that were looked for.
    fn wide(&mut self, ask: &Ask, open: &[(Ask, usize)]) -> Result<usize, Stopped> {
        if let Some(at) = (0..self.wide.len()).rev().find(|&at| self.serves(at, ask)) {
            return Ok(at);
        }
        // those of a narrower cut that is still to come, if it is likely that they serve
        let mut narrower: Vec<&Ask> = Vec::new();
        for (other, _) in open.iter().rev().filter(|(o, _)| o.kerf() == ask.kerf() && o.width() < ask.width()) {
            if narrower.len() >= self.further {
                break;
            }
            if narrower.last().is_none_or(|last| last.width() > other.width()) {
                narrower.push(other);
            }
        }
        if let Some(narrower) = narrower.last() {
            let found = self.look(narrower, Some(narrower.width()), None, open.len())?;
            self.wide.push((**narrower, found.arrangements));
            if self.serves(self.wide.len() - 1, ask) {
                self.further *= 2;
                return Ok(self.wide.len() - 1);
            }
        }
        self.further = 1;
        let found = self.look(ask, Some(ask.width()), None, open.len())?;
        self.wide.push((*ask, found.arrangements));
        Ok(self.wide.len() - 1)
    }

    /// True if what was found for a cut is what would be found for another: for the same, or for a wider
    /// one that has room on all of them.
    fn serves(&self, at: usize, ask: &Ask) -> bool {
        let (of, arrangements) = &self.wide[at];
        let (width, kerf) = (ask.width(), ask.kerf());
        let free = |a: &Arrangement| is_free(self.job, self.places, &a.pair, Some(width), Some(kerf)) == Some(true);
        of.kerf() == kerf && (of.width() == width || (of.width() < width && arrangements.iter().all(free)))
    }

    /// The longest cut that any arrangement allows at the angle of a cut that is too long for all; none
    /// where there is no room for any.
    fn longest_cut(&mut self, ask: &Ask, open: usize) -> Result<Option<f64>, Stopped> {
        let capacity = |found: Found| {
            found.arrangements.iter().filter_map(|a| Some(a.room.as_ref()?.capacity)).max_by(f64::total_cmp)
        };
        let Some(mut most) = capacity(self.look(ask, None, None, open)?) else { return Ok(None) };
        let mut beyond = ask.width();
        while beyond - most > LONGEST_TO {
            let middle = 0.5 * (most + beyond);
            match capacity(self.look(ask, Some(middle), None, open)?) {
                Some(more) => most = more.max(middle),
                None => beyond = middle,
            }
        }
        Ok(Some(most))
    }
}
