//! What the job's readings have proved: the verdict, the picture of deviations, and every reading with
//! what it is worth, on as many pages as that takes.

use holefast::drawing::{Role, proof_view, verdict_view};
use holefast::proof::Proof;
use holefast::words::proof as words;

use super::{Ctx, SIDE, bullets, keys};
use crate::book::lay::Sheet;
use crate::book::text;
use crate::page::block::{Block, Row, plain};

/// Share of the page's height that the picture may take; what is said of it needs the rest.
const PICTURE_SHARE: f64 = 0.3;

/// Width of the picture of the verdict, mm.
const VERDICT: f64 = 120.0;

impl Ctx<'_> {
    /// The pages; none without a proof.
    pub(super) fn proof(&mut self, proof: Option<&Proof>) -> Vec<Sheet> {
        let Some(proof) = proof else { return Vec::new() };
        let mut said = words::said(proof, self.job).into_iter();
        let mut blocks: Vec<Block> = said.next().map(|text| Block::Lead(plain(text))).into_iter().collect();
        if let (Ok(square), Some(verdict)) = (&proof.square, &proof.verdict) {
            let scene = verdict_view(*square, verdict.limit, verdict.confidence, VERDICT);
            blocks.push(Block::Plot(Box::new(scene)));
        }
        let room = [self.size[0] - 2.0 * SIDE, PICTURE_SHARE * self.size[1]];
        let scene = proof_view(self.job, self.layout, proof, room);
        let keys = keys(&scene, &[(Role::HoleWanted, "dog hole")]);
        blocks.push(self.picture(scene, keys));
        blocks.extend(bullets(said.map(plain)));
        let mut parts = vec![self.sheet(text::PROVED, text::PROVED_FROM.to_owned(), 3.7, blocks)];
        let rows = words::rows(proof, self.job);
        let Some((head, rows)) = rows.split_first() else { return parts };
        let head: Vec<&str> = head.iter().map(String::as_str).collect();
        let rows = rows.iter().map(|row| Row::of(row.iter().map(plain))).collect();
        let table = self.table(&[0.6, 2.6, 1.6, 1.6, 1.6, 1.8], &head, rows);
        let blocks = vec![Block::Small(plain(text::WORTH_HOW)), table];
        parts.push(self.sheet(text::WORTH, text::PROVED_FROM.to_owned(), 3.7, blocks));
        parts
    }
}
