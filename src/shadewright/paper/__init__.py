"""The sheet (PDF), the study page (HTML) and the pictures in them; computes no physics."""
