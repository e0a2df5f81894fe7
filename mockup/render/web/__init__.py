"""The browser host of shade.glsl, beside the VTK host: a cup that can be turned in a page.

`parcel.Packer` packs a cup as bytes, `cup.js` shows them; the app and the proof page both use it.

Python
------
``Packer().pack(model, wall, table, light, foil)`` gives a `Parcel`; its ``to_bytes(held)`` leaves
out what the page holds already, by the keys that the page's ``held()`` tells. One packer for the
whole process: it keeps lights and maps that it has packed. Text of the script:
``source_text("mockup.render.web", "cup.js")``.

JavaScript
----------
``showCup(element, parcel, options)`` gives a handle; functions, options and events are told at the
top of cup.js.
"""
