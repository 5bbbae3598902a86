@echo off
rem A double click opens the page for the recipes in the folder "recipes" in your documents.
rem Needed first, once: nutrilab set up in the folder named in the next line (docs\without-a-terminal.md).
set "NUTRILAB=%USERPROFILE%\nutrilab"
set "RECIPES=%USERPROFILE%\Documents\recipes"
if not exist "%RECIPES%" mkdir "%RECIPES%"
if not exist "%NUTRILAB%\.venv\Scripts\nutrilab.exe" (
    echo nutrilab is not set up in %NUTRILAB%: see docs\without-a-terminal.md there, or change the line NUTRILAB= in this file.
    pause
    exit /b 1
)
"%NUTRILAB%\.venv\Scripts\nutrilab.exe" page "%RECIPES%"
if errorlevel 1 pause
