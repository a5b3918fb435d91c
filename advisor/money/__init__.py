"""Money: prices and bills, energy of a year, life-cycle cost, and the fit of a replacement (docs/money.md)."""
