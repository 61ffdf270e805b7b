//! A bar of a share that reads without colour.

/// Columns inside a bar.
pub(super) const BAR: usize = 20;

/// A bar of a share, 0 to 1; a level in it is a `|`.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share, 0 to 1")]
pub(super) fn bar(share: f64, level: Option<f64>) -> String {
    let place = |share: f64| (share.clamp(0.0, 1.0) * BAR as f64).round() as usize;
    let level = level.map(place);
    let inside: String = (0..BAR)
        .map(|at| match (level == Some(at), at < place(share)) {
            (true, _) => '|',
            (_, true) => '=',
            _ => ' ',
        })
        .collect();
    format!("[{inside}]")
}
