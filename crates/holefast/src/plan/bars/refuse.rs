//! Why a top cannot be bored with this kit, by how much, and the nearest thing that works.

use std::collections::BTreeSet;

use super::PlanOptions;
use super::kit_bars::BarSet;
use super::lattice::{Lattice, RowColumn, grid_name};
use super::opening::{BlockUse, block_steps};
use super::part::Part;
use crate::fault::Fault;
use crate::job::Job;
use crate::kit::Kit;
use crate::top::{CellRange, Layout};

/// The smallest whole-number right triangle.
pub(super) const LEAST_TRIANGLE: [u32; 3] = [3, 4, 5];

/// The kit, if it can lay and pin bars at all.
pub(super) fn kit_that_can(job: &Job) -> Result<&Kit, Vec<Fault>> {
    let Some(kit) = &job.kit else {
        return Err(vec![
            Fault::impossible("a plan needs a [kit]: bars, pins, bits, a block and dogs")
                .hint("`holefast new` writes a job with one to change"),
        ]);
    };
    let mut faults = Vec::new();
    let bars: u32 = kit.bars.iter().map(|b| b.count).sum();
    if bars < 2 {
        faults.push(
            Fault::impossible(format!("a right triangle takes two bars besides the row, and the kit has {bars}"))
                .at(job.span("kit.bar[0].count"))
                .hint("set count = 2, or add a second [[kit.bar]]"),
        );
    }
    if kit.pin.count < 2 {
        faults.push(
            Fault::impossible(format!("a bar is located by two pins, and the kit has {}", kit.pin.count))
                .at(job.span("kit.pin.count"))
                .hint("two pins and two drill shanks do; three pins are better"),
        );
    }
    let gauges: u32 = kit.gauges.iter().map(|g| g.count).sum();
    if kit.pin.count == 2 && gauges == 0 {
        faults.push(
            Fault::impossible("a triangle takes three pins, and the kit has 2 and no gauge to stand in")
                .at(job.span("kit.pin.count"))
                .hint("add a third pin, or a [[kit.gauge]]: the shank of a drill will do"),
        );
    }
    if kit.dog.count < 1 {
        faults.push(
            Fault::impossible("the second pass seats the block on dogs, and the kit has none")
                .at(job.span("kit.dog.count"))
                .hint("one dog does, two are better"),
        );
    }
    if faults.is_empty() { Ok(kit) } else { Err(faults) }
}

/// Errors: only dog holes exist, and something is left that no two of them can carry the block over.
pub(super) fn nothing_to_pin(job: &Job, layout: &Layout, part: &Part) -> Result<(), Vec<Fault>> {
    let Some(kit) = &job.kit else { return Ok(()) };
    if !part.pilots.is_empty() || part.dogs.is_empty() {
        return Ok(());
    }
    let lattice = Lattice::new(job, layout, part);
    let block = BlockUse { kit, steps: block_steps(kit, layout.pitch) };
    let left: Vec<RowColumn> = lattice.wanted().difference(&part.dogs).copied().collect();
    let (between, beyond): (Vec<RowColumn>, Vec<RowColumn>) =
        left.into_iter().partition(|&hole| block.stands_on_dogs(&lattice, hole));
    if beyond.is_empty() {
        return Ok(());
    }
    let names = |places: &[RowColumn]| places.iter().filter_map(|&p| grid_name(p)).collect::<Vec<_>>();
    let skip = names(&beyond).iter().map(|name| format!("\"{name}\"")).collect::<Vec<_>>().join(", ");
    let dogs = part.dogs.len();
    let fault = Fault::impossible(format!(
        "{dogs} dog holes exist and no pilot, and a bar's pins stand in pilots only: nothing ties {} to them",
        listed(&names(&beyond))
    ))
    .at(job.span("done[0]"));
    Err(vec![if between.is_empty() {
        fault.hint("two pilots that are left anywhere would do; or leave the other holes out (skip)")
    } else {
        fault.hint(format!(
            "two pilots that are left anywhere would do; without the others {}, between two dog holes each, can be opened: skip = [{skip}]",
            listed(&names(&between))
        ))
    }])
}

/// Names, the first so many of them.
fn listed(names: &[String]) -> String {
    const NAMED: usize = 8;
    let more = if names.len() > NAMED { format!(" and {} more", names.len() - NAMED) } else { String::new() };
    format!("{}{more}", names[..names.len().min(NAMED)].join(" "))
}

/// Nothing is wanted.
pub(super) fn no_hole(job: &Job) -> Fault {
    Fault::impossible("no hole of the grid is left to bore")
        .at(job.span("grid"))
        .hint("`holefast show` says what stands in the way of each")
}

/// No right triangle can be formed.
pub(super) fn no_triangle(job: &Job, lattice: &Lattice, bars: &BarSet) -> Fault {
    let [k, m, l] = LEAST_TRIANGLE;
    let longest = bars.kinds.iter().map(|b| b.holes).max().unwrap_or(0);
    let ((row_lo, row_hi), (column_lo, column_hi)) = lattice.extent();
    let pitches = (row_hi - row_lo).max(column_hi - column_lo);
    let on_grid = bars.kinds.iter().any(|b| {
        let per_step = (lattice.pitch[0] / b.pitch).round() as u32;
        b.holes > l * per_step.max(1)
    });
    if !on_grid {
        let bar = &bars.kinds[0];
        let per_step = ((lattice.pitch[0] / bar.pitch).round() as u32).max(1);
        return Fault::impossible(format!(
            "no right triangle fits the bars: the longest has {longest} holes, and {k}-{m}-{l} on this grid takes {}",
            l * per_step + 1
        ))
        .at(job.span("kit.bar[0].holes"))
        .hint(format!("two bars of {} holes or more do", l * per_step + 1));
    }
    Fault::impossible(format!(
        "no right triangle stands on this grid: its longest line has {pitches} pitches, and {k}-{m}-{l} takes {k}"
    ))
    .at(job.span("grid"))
    .hint(format!("{} holes in one row do, or room on the sheet for helper pilots beside them", k + 1))
}

/// Some places cannot be reached from the others.
pub(super) fn unreached(
    job: &Job,
    layout: &Layout,
    lattice: &Lattice,
    options: &PlanOptions,
    unreached: &BTreeSet<RowColumn>,
) -> Fault {
    let names: Vec<String> = unreached.iter().filter_map(|&p| grid_name(p)).collect();
    let shown = names.iter().take(8).cloned().collect::<Vec<_>>().join(" ");
    let more = if names.len() > 8 { format!(" and {} more", names.len() - 8) } else { String::new() };
    let fault = Fault::impossible(format!("no bar pinned on bored holes reaches {shown}{more}")).at(job.span("grid"));
    // The nearest plan that works, shown to work before it is offered.
    let wanted = lattice.wanted();
    let holes = unreached.iter().filter(|p| wanted.contains(p)).count();
    if names.len() < wanted.len() && holes > 0 {
        let mut less = job.clone();
        less.grid.skip.extend(names.iter().filter_map(|n| CellRange::parse(n)));
        let mut rest = layout.clone();
        rest.holes.retain(|h| !names.contains(&h.name));
        // Where only helpers are out of reach nothing is left out, and the same top would be tried for ever
        // (`tests/random_sheets.rs`, seed 435).
        if rest.holes.len() < layout.holes.len() && super::make_plan(&less, &rest, options).is_ok() {
            return fault.hint(format!(
                "without {} the other {} holes can be planned: skip = [{}]",
                if names.len() == 1 { "it" } else { "them" },
                rest.holes.len(),
                names.iter().map(|n| format!("\"{n}\"")).collect::<Vec<_>>().join(", ")
            ));
        }
    }
    fault.hint("longer bars reach further; leaving holes in between lets the bars be pinned on them")
}
