"""A throw and a sweep as readers see them: words, drawings, a film."""
