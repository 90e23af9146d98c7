//! Any bytes as a job file: reading must end, must not panic, and must keep its promises.
#![no_main]

use holefast::FaultKind;
use holefast::job::parse_bytes;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let parsed = parse_bytes(bytes);
    let refused = parsed.faults.iter().any(|f| f.kind != FaultKind::Remark);
    assert_eq!(parsed.job.is_none(), refused, "a job is given exactly when nothing but remarks is told");
    let mut last = 0;
    for fault in &parsed.faults {
        let span = fault.span.expect("every fault is located");
        assert!(last <= span.start && span.start <= span.end && span.end <= bytes.len().max(1), "{fault:?}");
        assert!(!fault.message.is_empty() && !fault.message.ends_with('.'), "{fault:?}");
        last = span.start;
    }
    if let Some(job) = parsed.job {
        // What later parts rely on without asking again.
        assert!(job.top.length > 0.0 && job.top.width > 0.0 && job.top.thickness > 0.0);
        assert!(job.top.outline.len() >= 3);
        assert!(job.grid.pitch.iter().all(|p| p.is_finite() && *p > job.grid.hole));
        if let Some(kit) = job.kit {
            assert!(!kit.bars.is_empty() && !kit.gauges.is_empty() && kit.pin.count >= 2);
            assert!(kit.bars.iter().all(|b| b.holes >= 2 && b.count >= 1 && b.bore.min <= b.bore.max));
        }
    }
});
