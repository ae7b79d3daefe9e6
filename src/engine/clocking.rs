//! Where the ring gaps sit.
