//! What the job's readings have proved: the verdict, the picture of deviations, and every reading with
//! what it is worth, on as many pages as that takes.

use holefast::drawing::{Role, proof_view, verdict_view};
use holefast::proof::Proof;
use holefast::words::proof as words;

use super::{Ctx, SIDE};
use crate::book::model::{Block, Part, Table, plain};
use crate::book::text;

/// Share of the page's height that the picture may take; what is said of it needs the rest.
const PICTURE_SHARE: f64 = 0.3;

/// Width of the picture of the verdict, mm.
const VERDICT: f64 = 120.0;

/// Readings to a page: so many rows of two lines have room.
const ROWS: usize = 20;

impl Ctx<'_> {
    /// The pages; none without a proof.
    pub(super) fn proof(&mut self, proof: Option<&Proof>) -> Vec<Part> {
        let Some(proof) = proof else { return Vec::new() };
        let mut said = words::said(proof, self.job).into_iter();
        let mut blocks: Vec<Block> = said.next().map(|text| Block::Lead { text }).into_iter().collect();
        if let (Ok(square), Some(verdict)) = (&proof.square, &proof.verdict) {
            let scene = verdict_view(*square, verdict.limit, verdict.confidence, VERDICT);
            blocks.push(Block::Plot { picture: self.picture(&scene) });
        }
        let room = [self.size[0] - 2.0 * SIDE, PICTURE_SHARE * self.size[1]];
        let scene = proof_view(self.job, self.layout, proof, room);
        let keys = self.keys(&scene, &[(Role::HoleWanted, "dog hole")]);
        blocks.push(Block::Picture { picture: self.picture(&scene), keys });
        blocks.push(Block::Bullets { items: said.map(plain).collect() });
        let mut parts = vec![self.sheet(text::PROVED, text::PROVED_FROM.to_owned(), 3.7, blocks)];
        let rows = words::rows(proof, self.job);
        let Some((head, rows)) = rows.split_first() else { return parts };
        for rows in rows.chunks(ROWS) {
            let table = Table {
                widths: vec![0.6, 2.6, 1.6, 1.6, 1.6, 1.8],
                head: head.to_vec(),
                rows: rows.iter().map(|row| row.iter().cloned().map(plain).collect()).collect(),
            };
            let blocks = vec![Block::Small { text: plain(text::WORTH_HOW) }, Block::Table { table }];
            parts.push(self.sheet(text::WORTH, text::PROVED_FROM.to_owned(), 3.7, blocks));
        }
        parts
    }
}
