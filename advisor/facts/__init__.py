"""What follows from a case, each thing once: plain facts and ids. No sentence and no simulation stand here."""
