"""A picture for the demo: a pallet's label, drawn, for want of a pallet."""

from io import BytesIO

from PIL import Image, ImageDraw

PAPER, INK, PALLET = (246, 244, 236), (22, 53, 44), (150, 120, 84)


def label_picture() -> bytes:
    """The label as JPEG, 640 by 480 pixels."""
    image = Image.new("RGB", (640, 480), PALLET)
    draw = ImageDraw.Draw(image)
    draw.rectangle((90, 90, 550, 390), fill=PAPER, outline=INK, width=6)
    draw.text((120, 130), "Cellulose insulation", fill=INK, font_size=40)
    draw.text((120, 220), "Lot L-2611", fill=INK, font_size=64)
    content = BytesIO()
    image.save(content, "JPEG", quality=85)
    return content.getvalue()
