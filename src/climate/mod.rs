//! From monthly normals to days: warmth, night frost, day length and light, and what a tunnel or
//! a cover makes of them.
