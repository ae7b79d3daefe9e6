//! The highest few of many numbers, highest first; nought for want of one.

/// Those of the numbers.
pub(super) fn few<const N: usize>(numbers: impl IntoIterator<Item = f32>) -> [f32; N] {
    let mut kept = [0.0; N];
    numbers.into_iter().for_each(|number| keep(&mut kept, number));
    kept
}

/// Those so far and one more.
pub(super) fn keep(kept: &mut [f32], mut number: f32) {
    for kept in kept {
        if number > *kept {
            std::mem::swap(kept, &mut number);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_highest_stand_first() {
        assert_eq!(few([0.1, 0.4, 0.2, 0.4, 0.3]), [0.4, 0.4, 0.3]);
        assert_eq!(few([0.1, -0.2]), [0.1, 0.0, 0.0]);
    }
}
