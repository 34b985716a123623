"""Weather files made up from the published layouts, for the formats and flaws no real file at hand has."""

EPW_HEAD = (
    "LOCATION,Somewhere,WI,USA,{source},726410,43.1,-89.3,-6.0,262.0\r\n"
    "DESIGN CONDITIONS,0\r\nTYPICAL/EXTREME PERIODS,0\r\nGROUND TEMPERATURES,0\r\n"
    "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\r\nCOMMENTS 1,\r\nCOMMENTS 2,\r\nDATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31\r\n"
)
EPW_TAIL = ",98800,0,0,300,0,0,0,0,0,0,0,270,2.6,9,9,24.1,2740,9,999999999,4,0.0,0,88,0.0,0.0,1.0"

TMY3_HEAD = (
    '726410,"SOMEWHERE",WI,-6.0,43.100,-89.300,262\n'
    "Date (MM/DD/YYYY),Time (HH:MM),ETR (W/m^2),Dry-bulb (C),Dry-bulb source,Dew-point (C),RHum (%)\n"
)

GLOBAL_HEAD = (
    '"STATION","DATE","SOURCE","LATITUDE","LONGITUDE","ELEVATION","NAME","REPORT_TYPE","CALL_SIGN",'
    '"QUALITY_CONTROL","WND","TMP","DEW","SLP"\n'
)

LCD_V1_HEAD = (
    '"STATION","DATE","REPORT_TYPE","SOURCE","DailyAverageDryBulbTemperature","DailyAverageRelativeHumidity",'
    '"HourlyDewPointTemperature","HourlyDryBulbTemperature","HourlyRelativeHumidity","MonthlyMeanTemperature"\n'
)
LCD_V2_HEAD = (
    '"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","REPORT_TYPE","SOURCE","HourlyDewPointTemperature",'
    '"HourlyDryBulbTemperature","HourlyRelativeHumidity","DailyAverageDryBulbTemperature",'
    '"DailyAverageRelativeHumidity"\n'
)


def epw(rows, source="AMY", head=EPW_HEAD):
    """An EPW of rows (year, month, day, hour, temperature, dew point, humidity)."""
    lines = [f"{y},{m},{d},{h},0,?9?9,{temp},{dew},{rh}{EPW_TAIL}" for y, m, d, h, temp, dew, rh in rows]
    return (head.format(source=source) + "\r\n".join(lines) + "\r\n").encode()


def tmy3(rows):
    """A TMY3 of rows (date, time, temperature, dew point, humidity)."""
    return (TMY3_HEAD + "".join(f"{d},{t},0,{temp},A,{dew},{rh}\n" for d, t, temp, dew, rh in rows)).encode()


def global_hourly(rows, station="72641014837"):
    """A Global Hourly CSV of rows (stamp, report type, TMP cell, DEW cell)."""
    body = "".join(
        f'"{station}","{stamp}","7","43.1405","-89.3452","264.0","MADISON, WI US","{report}","KMSN ","V030",'
        f'"270,5,N,0026,5","{temp}","{dew}","10175,5"\n'
        for stamp, report, temp, dew in rows
    )
    return (GLOBAL_HEAD + body).encode()


def lcd_v1(rows, station="72641014837"):
    """An LCD file of version 1 of rows (stamp, report, day temp, day humidity, dew, temp, humidity)."""
    body = "".join(
        f'"{station}","{stamp}","{report}","7","{dt}","{dh}","{dew}","{temp}","{rh}",""\n'
        for stamp, report, dt, dh, dew, temp, rh in rows
    )
    return (LCD_V1_HEAD + body).encode()


def lcd_v2(rows, station="USW00014837"):
    """An LCD file of version 2 of the same rows."""
    body = "".join(
        f'"{station}","{stamp}","43.1405","-89.3452","264.0","MADISON, WI US","{report}","7","{dew}","{temp}","{rh}",'
        f'"{dt}","{dh}"\n'
        for stamp, report, dt, dh, dew, temp, rh in rows
    )
    return (LCD_V2_HEAD + body).encode()


def dly(station, year, month, element, values, flags=None):
    """One fixed-width month of GHCN-Daily: `values` by day of month, missing days -9999."""
    flags = flags or {}
    cells = "".join(f"{values.get(day, -9999):5d}{flags.get(day, '   ')}" for day in range(1, 32))
    return f"{station}{year:04d}{month:02d}{element}{cells}\n"
