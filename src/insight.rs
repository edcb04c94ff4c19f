//! What the sessions tell: trends, left against right, weekly dose, norms, and advice for next time.
