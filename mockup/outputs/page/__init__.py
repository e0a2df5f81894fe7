"""The proof page: one HTML file that turns the cup, tells the facts and takes the answer.

`page.lay_out_page` puts it together from ``page.html``, ``page.css`` and ``page.js``, the viewer's
``cup.js``, the receipt's ``receipt.js``, the facts and the cup as `hold.Hold` packs it.
"""
